"""Rules about the repository itself: sizes, names, addresses, and forbidden ways around other rules."""

import re
import subprocess
import tomllib
from collections.abc import Iterator
from pathlib import Path

import pytest
from django.urls import URLPattern, URLResolver, get_resolver

ROOT = Path(__file__).parent.parent.parent
TOP = {
    "README.md",
    "DEVELOPERS.md",
    "LICENSE",
    "Makefile",
    "manage.py",
    "pyproject.toml",
    "constraints.txt",
    "catalog",
    "config",
    "costing",
    "orders",
    "templates",
    "tests",
}
# Put together here, so that this file does not name them itself.
PLACES = re.compile("|".join([r"/wo" + r"rk/", r"/ro" + r"ot/", r"/ho" + r"me/\w", r"/t" + r"mp/", r"/Us" + r"ers/\w"]))
HOSTS = re.compile(
    "|".join([r"pypi\." + "org", r"pythonhosted\." + "org", r"npmjs\." + "(org|com)", "--(extra-)?index" + "-url "])
)


def _files() -> list[Path]:
    listed = subprocess.run(
        ["git", "ls-files", "-z", "--cached", "--others", "--exclude-standard"],
        cwd=ROOT,
        capture_output=True,
        check=False,
    )
    if listed.returncode:
        pytest.skip("this is no git clone: nothing tells what belongs to it", allow_module_level=True)
    return [path for name in listed.stdout.decode().split("\0") if name and (path := ROOT / name).is_file()]


FILES = _files()
PYTHON = [path for path in FILES if path.suffix == ".py" and "migrations" not in path.parts]
PRODUCT = [path for path in PYTHON if path.relative_to(ROOT).parts[0] != "tests"]


def _texts(paths: list[Path]) -> Iterator[tuple[str, str]]:
    for path in paths:
        try:
            yield str(path.relative_to(ROOT)), path.read_text(encoding="utf-8")
        except UnicodeDecodeError:
            continue  # a picture or a font


def _lines(pattern: re.Pattern[str], paths: list[Path]) -> list[str]:
    return [
        f"{name}:{number}: {line.strip()[:120]}"
        for name, text in _texts(paths)
        for number, line in enumerate(text.splitlines(), start=1)
        if pattern.search(line)
    ]


def test_the_top_level_holds_only_what_the_map_names() -> None:
    names = {path.relative_to(ROOT).parts[0] for path in FILES}
    assert {name for name in names if not name.startswith(".")} <= TOP


def test_no_python_file_is_longer_than_400_lines() -> None:
    long = {name: len(text.splitlines()) for name, text in _texts(PYTHON) if len(text.splitlines()) > 400}
    assert long == {}


def test_no_file_names_a_place_on_somebodys_machine() -> None:
    assert _lines(PLACES, FILES) == []


def test_no_file_names_a_package_registry() -> None:
    assert _lines(HOSTS, FILES) == []


def test_the_lock_holds_names_versions_and_hashes_only() -> None:
    lock = (ROOT / "constraints.txt").read_text()
    assert "http" not in lock
    pinned = re.findall(r"^([a-z0-9._-]+)==[\w.]+( ;.*)? \\$", lock, re.MULTILINE)
    assert len(pinned) == len(re.findall(r"^\S", lock, re.MULTILINE)), "every line is a pinned name or a hash of one"


def test_the_lock_holds_every_dependency() -> None:
    project = tomllib.loads((ROOT / "pyproject.toml").read_text())
    asked = [*project["project"]["dependencies"], *project["dependency-groups"]["dev"]]
    names = {re.split(r"[\[~=<>; ]", entry)[0].lower().replace("_", "-") for entry in asked}
    locked = {line.split("==")[0] for line in (ROOT / "constraints.txt").read_text().splitlines() if "==" in line}
    assert names <= locked


def test_every_dependency_says_what_it_is_for() -> None:
    text = (ROOT / "pyproject.toml").read_text().partition("[tool.")[0]
    entries = [
        line for line in text.splitlines() if re.match(r'    "[a-zA-Z0-9_-]+(\[[a-z-]+\])?[~=<>]*[\d.]*",', line)
    ]
    assert len(entries) > 30
    assert [line for line in entries if not re.search(r",\s+# \w", line)] == []


def test_no_view_goes_round_the_forgery_check() -> None:
    assert _lines(re.compile("csrf" + "_exempt"), FILES) == []


def test_no_model_overrides_save_and_nothing_listens_to_signals() -> None:
    ways = re.compile(r"^    def (save|delete)\(self|\b(post|pre)_(save|delete)\b|@receiver\b")
    models = [path for path in PRODUCT if path.name == "models.py"]
    assert _lines(ways, models) == []
    assert _lines(re.compile(r"\b(post|pre)_(save|delete)\b|@receiver\b"), PRODUCT) == []


def test_only_the_transition_service_writes_a_documents_status() -> None:
    """A quote, order or invoice is created as draft or confirmed; after that only transitions change it."""
    writes = re.compile(r"\.update\([^)]*\bstatus=|(quote|order|invoice|note|document|credit)\.status = ")
    there = [line for line in _lines(writes, PRODUCT) if not line.startswith("orders/records/transitions.py:")]
    # The outbox, price lists and spreadsheets have a status of their own, without a table.
    own = ("catalog/outbox/services.py:", "catalog/price_lists/services.py:", "catalog/spreadsheets/")
    assert [line for line in there if not line.startswith(own)] == []


def test_every_view_says_who_may_open_it() -> None:
    unmarked = [name for name, view in _views(get_resolver()) if not getattr(view, "roles", None)]
    assert unmarked == []


def _views(resolver: URLResolver) -> Iterator[tuple[str, object]]:
    for entry in resolver.url_patterns:
        if isinstance(entry, URLResolver):
            yield from _views(entry)
        elif isinstance(entry, URLPattern):
            yield f"{entry.pattern} ({entry.lookup_str})", entry.callback


def test_scripts_are_plain_shell_and_stop_at_an_error() -> None:
    scripts = [(name, text) for name, text in _texts(FILES) if name.endswith(".sh")]
    assert scripts
    assert [name for name, text in scripts if not text.startswith("#!/bin/sh\n") or "set -eu" not in text] == []
    assert "set -euo pipefail" in (ROOT / ".ci" / "run").read_text()
