"""Every template compiles, and none carries what the Content-Security-Policy would block."""

import re
from pathlib import Path

from django.template.loader import get_template

from tests.each import each

ROOT = Path(__file__).resolve().parents[3] / "templates"
NAMES = sorted(str(path.relative_to(ROOT)) for path in ROOT.rglob("*") if path.suffix in {".html", ".txt"})

_BLOCKED = re.compile(
    r"<style|\sstyle=|\son[a-z]+=[\"']|javascript:|hx-on|<script(?![^>]*\ssrc=)|(?:src|href)=[\"'](?:https?:)?//",
    re.IGNORECASE,
)


@each("name", NAMES)
def test_a_template_compiles(name: str) -> None:
    get_template(name)


@each("name", [name for name in NAMES if "pdf" not in name and "mail" not in name])
def test_a_page_has_no_inline_script_or_style_and_loads_nothing_from_elsewhere(name: str) -> None:
    assert _BLOCKED.findall((ROOT / name).read_text()) == []


def test_the_rule_would_catch_each_kind() -> None:
    caught = ['<p style="x">', "<style>", '<a onclick="x()">', "<script>x</script>", '<img src="//else/x.png">']
    assert all(_BLOCKED.search(text) for text in caught)
    assert not _BLOCKED.search('<script src="/static/js/coldset.js" defer></script>')


def test_no_page_waits_on_purpose_for_more_than_a_quarter_of_a_second() -> None:
    delays = {
        int(delay): path.name
        for path in ROOT.rglob("*.html")
        for delay in re.findall(r"delay:(\d+)ms", path.read_text(encoding="utf-8"))
    }
    assert delays
    assert max(delays) <= 250, delays[max(delays)]
