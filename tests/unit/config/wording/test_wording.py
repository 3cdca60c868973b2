"""Every text that people read is marked for translation, in US English, and has its British English."""

import re
from collections import Counter
from collections.abc import Iterator, Sequence
from pathlib import Path

import pytest
from babel.messages.catalog import Catalog
from babel.messages.mofile import read_mo
from django.conf import settings
from django.utils import translation
from django.utils.translation import gettext

from catalog.web import display
from catalog.web.display import DisplaySettings
from catalog.web.display.settings import language_of
from config.wording import catalogs
from config.wording.extraction import messages, of_template
from config.wording.spelling import BRITISH, ENDINGS, NO_WORDS, british
from tests.unit.config.wording.bare import in_module, in_template

ROOT = Path(settings.BASE_DIR)
#: Files whose texts are not marked yet. A file that is done is taken out; none is added.
PENDING = frozenset((Path(__file__).parent / "pending.txt").read_text(encoding="utf-8").split())
#: Modules without a word for people that uses the service: what developers, operators and files read.
UNREAD = (
    "catalog/migrations/", "orders/migrations/", "config/migrations/", "config/demo/", "config/scripts/",
    "orders/documents/checks.py",
    "config/wording/", "config/deploy/", "catalog/management/", "config/management/", "costing/contract/schemas/",
    "config/backup/", "config/command_line.py", "config/database_role.py", "config/lane_process.py", "config/logs.py",
    "config/outbox_loop.py", "config/private_files.py", "config/settings.py", "config/site_check.py",
    "config/static_files.py", "config/supervisor.py", "config/work_processes.py",
    "orders/personal_data/export_content.py", "orders/records/immutable_rows.py",
    "orders/records/rows_in_force.py", "orders/records/trigger_sql.py",
    "orders/records/numbers.py", "orders/register/file_content.py", "orders/register/papers_content.py",
    "catalog/spreadsheets/export_content.py", "catalog/products/claim_words.py",
)  # fmt: skip
_BRITISH_WORDS = re.compile(
    rf"\b({'|'.join(sorted(BRITISH.values(), key=len, reverse=True))}){ENDINGS}\b", re.IGNORECASE
)
_HOLES = re.compile(r"%\([a-z_]+\)[a-z]|\{[^{}]*\}|<[^<>]*>")


def _files() -> list[str]:
    found = [path for place in ("catalog", "config", "orders") for path in (ROOT / place).rglob("*.py")]
    found += [path for path in (ROOT / "templates").rglob("*") if path.suffix in (".html", ".txt")]
    named = sorted(path.relative_to(ROOT).as_posix() for path in found)
    return [name for name in named if not name.startswith(UNREAD) and "/__pycache__/" not in name]


def british_words(text: str) -> list[str]:
    """Return the words of a text that only British English spells so."""
    return [found[0] for part in NO_WORDS.split(text) for found in _BRITISH_WORDS.finditer(part)]


def _bare(name: str) -> list[str]:
    source = (ROOT / name).read_text(encoding="utf-8")
    return in_module(source) if name.endswith(".py") else in_template(source)


def test_no_text_is_bare() -> None:
    bare = {name: found for name in _files() if name not in PENDING and (found := _bare(name))}
    assert bare == {}


def test_what_is_done_is_not_listed_as_pending() -> None:
    files = set(_files())
    assert [name for name in sorted(PENDING) if name not in files or not _bare(name)] == []


def test_every_marked_text_is_in_the_british_catalog_and_nothing_else() -> None:
    marked = {(one.text, one.plural) for one in messages(ROOT)}
    stored = {
        message.id if isinstance(message.id, tuple) else (message.id, "")
        for message in catalogs.read(ROOT)
        if message.id
    }
    assert stored - marked == set(), "run make words"
    assert marked - stored == set(), "run make words"


def test_every_british_text_is_there_with_the_same_placeholders_and_tags() -> None:
    for message in catalogs.read(ROOT):
        if not message.id:
            continue
        sources = message.id if isinstance(message.id, tuple) else (message.id,)
        strings = message.string if isinstance(message.string, tuple | list) else (message.string,)
        assert len(strings) == len(sources)
        assert not message.fuzzy
        for source, string in zip(sources, strings, strict=True):
            assert string, source
            assert Counter(_HOLES.findall(string)) == Counter(_HOLES.findall(source)), source
            # A template's own spaces at its ends join it to what stands beside it.
            assert (string[:1].isspace(), string[-1:].isspace()) == (source[:1].isspace(), source[-1:].isspace()), (
                source
            )


def test_sources_are_in_us_english_and_the_catalog_in_british() -> None:
    for message in catalogs.read(ROOT):
        for source in message.id if isinstance(message.id, tuple) else (message.id,):
            assert british_words(source) == [], source
        for string in message.string if isinstance(message.string, tuple | list) else (message.string,):
            assert message.id == "" or british(string) == string, string


def _entries(catalog: Catalog) -> Iterator[tuple[list[str], list[str]]]:
    for message in catalog:
        if message.id:
            yield _parts(message.id), _parts(message.string or "")


def _parts(text: str | Sequence[str]) -> list[str]:
    return [text] if isinstance(text, str) else list(text)


def test_django_reads_what_is_edited() -> None:
    with catalogs.path_of(ROOT).with_suffix(".mo").open("rb") as file:
        compiled = list(_entries(read_mo(file)))
    assert sorted(compiled) == sorted(_entries(catalogs.read(ROOT))), "run make words"


@pytest.mark.parametrize(
    ("locale", "language"),
    [
        ("en_US", "en-us"),
        ("en_GB", "en-gb"),
        ("en_IE", "en-gb"),
        ("de_DE", "en-gb"),
        ("es_PR", "en-us"),
        ("en", "en-us"),
    ],
)
def test_the_kitchens_locale_decides_the_english(locale: str, language: str) -> None:
    assert language_of(locale) == language
    with display.use(DisplaySettings(locale=locale)):
        assert translation.get_language() == language


def test_spelling_leaves_placeholders_tags_and_addresses_alone() -> None:
    text = 'Catalog: %(color)s {labor:money} <a class="color">molds</a> mold@example.org /catalog/color'
    assert british(text) == (
        'Catalogue: %(color)s {labor:money} <a class="color">moulds</a> mold@example.org /catalog/color'
    )
    assert british("Inquiries, an inquiry. LABOR") == "Enquiries, an enquiry. LABOUR"
    assert british_words("A moulded catalogue of flavours") == ["moulded", "catalogue"]
    assert all(british(value) == value for value in BRITISH.values())


def test_a_template_is_read_as_django_reads_it() -> None:
    source = (
        "{% load i18n %}<p title=\"{% translate 'Add “a” line' %}\">{% blocktranslate trimmed with n=count|plain %}\n"
        "  Take {{ n }} of\n  10%. {% endblocktranslate %}</p>"
        "{% blocktranslate count n=n %}one{% plural %}{{ n }} of them{% endblocktranslate %}"
        '{% field x label=_("Lead") %}'
    )
    assert [(one.text, one.plural) for one in of_template(source, "here")] == [
        ("Add “a” line", ""),
        ("Take %(n)s of 10%%.", ""),
        ("one", "%(n)s of them"),
        ("Lead", ""),
    ]
    assert in_template(source) == []


@pytest.mark.parametrize(
    ("source", "bare"),
    [
        ("<p>Two words {{ x }} more</p>", ["Two words", "more"]),
        ('<img alt="A cake">', ["A cake"]),
        ('<a title="{% translate "Marked" %}" class="two words">{{ x }}</a>', []),
        ('{% add_row rows "Add a line" %}{% field form.x label=_("Marked") %}', ["Add a line"]),
        ('{% include "parts/box.html" with title="A box" %}', ["A box"]),
        ("{% if a %}one{% else %}two{% endif %}", ["onetwo"]),
        ("<td>g</td><td>{{ n }} kg</td>", []),
    ],
)
def test_what_a_template_shows_bare_is_found(source: str, bare: list[str]) -> None:
    assert in_template(source) == bare


@pytest.mark.parametrize(
    ("source", "bare"),
    [
        ('"""Two words."""\nx = "Two words"', ["Two words"]),
        ('x = gettext("Two words") + _("More words")', []),
        ('x = f"{n} words of it"', ["· words of it"]),
        ('log.info("two words"); raise ValueError("two words")', []),
        ('x = f"<b class=\\"two words\\">{n}</b>" + f"<b>two words</b>"', ["<b>two words</b>"]),
        ('models.CharField(max_length=4, help_text="two words", verbose_name="more words")', ["more words"]),
        ('def __str__(self): return f"row of {self.n}"', []),
        ('label = "Name"\ncode = "name"\npath = "a/b.html"', ["Name"]),
    ],
)
def test_what_a_module_holds_bare_is_found(source: str, bare: list[str]) -> None:
    assert in_module(source) == bare


def test_a_text_without_a_british_entry_stays_as_it_is() -> None:
    with translation.override("en-gb"):
        assert gettext("no text of ours") == "no text of ours"
