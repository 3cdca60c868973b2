"""What DEVELOPERS.md and README.md name exists: files and folders, functions and classes, commands and packages.

What stands in backticks is read. A path must exist; a path without its folder must stand in a folder that the same line
names. A name must occur in the code, and in the very file where the text says so: `name()` in `file.py`, `name()`
(`file.py`), `file.py` (`name()`, `other()`).
"""

import re
import tomllib
from collections.abc import Iterator
from fnmatch import fnmatchcase
from functools import cache
from itertools import pairwise
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
APPS = ("catalog", "config", "costing", "orders")
FOLDERS = (*APPS, "templates", "tests", ".ci", ".pictures")
GUIDES = ("DEVELOPERS.md", "README.md")
#: Folders that paths in templates and settings begin at.
BASES = ("", "templates/", "config/static/")
SUFFIXES = {".py", ".html", ".txt", ".md", ".json", ".toml", ".js", ".css", ".csv", ".sh", ".png"}
#: Files that occur in no commit: made by running the service.
MADE = ("var/",)
DJANGO_COMMANDS = {"migrate", "makemigrations", "createsuperuser", "collectstatic", "check", "shell"}

SPAN = re.compile(r"`([^`\n]+)`")
FENCED = re.compile(r"^```.*?^```", re.MULTILINE | re.DOTALL)
PATH = re.compile(r"[\w.<>*-]+(/[\w.<>*-]+)*/?")
NAME = re.compile(r"@?([A-Za-z_]\w*(?:\.[A-Za-z_]\w*)*)(\(.*\))?")
WORD = re.compile(r"\w+")
CALL = re.compile(r"(\w+)\(|class (\w+)")


@cache
def _files() -> frozenset[str]:
    """Return the project's files, and its folders with a slash behind them."""
    found = [path for folder in FOLDERS for path in (ROOT / folder).rglob("*") if "__pycache__" not in path.parts]
    found += [ROOT / folder for folder in FOLDERS] + [path for path in ROOT.iterdir() if path.is_file()]
    return frozenset(f"{path.relative_to(ROOT)}{'/' if path.is_dir() else ''}" for path in found)


@cache
def _words() -> frozenset[str]:
    """Return every word of the code, templates and build files; the tests' generated examples are left out."""
    kinds = {".py", ".html", ".js", ".css", ".toml", ".sh", ".json"}
    left_out = ("tests/contract/examples/", "tests/published/", "tests/unit/test_developers_guide.py")
    paths = [name for name in _files() if Path(name).suffix in kinds and not name.startswith(left_out)]
    return frozenset().union(*(_words_in(name) for name in (*paths, "Makefile")))


@cache
def _called() -> frozenset[str]:
    """Return every name the product's code defines or calls with parentheses behind it."""
    paths = [name for name in _files() if name.endswith(".py") and name.startswith(APPS)]
    return frozenset(
        word for name in paths for found in CALL.findall((ROOT / name).read_text(encoding="utf-8")) for word in found
    )


@cache
def _words_in(name: str) -> frozenset[str]:
    return frozenset(WORD.findall((ROOT / name).read_text(encoding="utf-8")))


def _is_path(span: str) -> bool:
    return bool(PATH.fullmatch(span)) and ("/" in span or Path(span).suffix in SUFFIXES)


def _there(pattern: str) -> bool:
    """Tell whether a file or folder exists; `<app>` and `*` stand for anything."""
    pattern = re.sub(r"<\w+>", "*", pattern)
    if "*" not in pattern:
        return pattern in _files() or f"{pattern}/" in _files()
    return any(fnmatchcase(name, pattern) for name in _files())


def _places(spans: list[str]) -> list[str]:
    """Return the folders that a line's paths name, with a slash behind each; those with `<app>` name none."""
    named = (span for span in spans if _is_path(span) and "/" in span and not re.search("[<*]", span))
    return [span if span.endswith("/") else f"{span.rpartition('/')[0]}/" for span in named if _there(span)]


def _path_problem(span: str, places: list[str]) -> str:
    bases = (*BASES, *places)
    # A bare name in a line that names no folder is a kind of module, such as `forms.py`.
    anywhere = "/" not in span and not places
    if span.startswith(MADE) or any(_there(base + span) for base in bases) or (anywhere and _there(f"*/{span}")):
        return ""
    return f"no such path: {span}"


def _name_problem(span: str, file: str = "") -> str:
    """Say what is wrong with a name of ours; what is no name, such as a sentence or a tag, is left alone."""
    found = NAME.fullmatch(span)
    if found is None:
        return ""
    # A secret may come from a file: its variable's name with this ending.
    parts = found[1].removesuffix("_FILE").split(".")
    if parts[0] in APPS and len(parts) > 1:
        return _module_problem(parts)
    known = _words_in(file) if file else _words()
    where = f" in {file}" if file else ""
    there = set(parts) <= known and (file or not found[2] or parts[-1] in _called())
    return "" if there else f"no such name{where}: {span}"


def _module_problem(parts: list[str]) -> str:
    """Follow a dotted name through packages to a module; what is left must occur in that module."""
    for length in range(len(parts), 0, -1):
        path, rest = "/".join(parts[:length]), parts[length:]
        if f"{path}.py" in _files():
            return "" if set(rest) <= _words_in(f"{path}.py") else f"no such name: {'.'.join(parts)}"
        if f"{path}/" in _files() and not rest:
            return ""
    return f"no such module: {'.'.join(parts)}"


def _command_problem(span: str) -> str:
    words = span.removeprefix("python ").removeprefix(".venv/bin/python ").split()
    if words[:1] == ["make"] and len(words) > 1:
        targets = re.findall(r"^([a-z-]+):", (ROOT / "Makefile").read_text(), re.MULTILINE)
        return "" if words[1] in targets else f"no such target: {span}"
    if words[:1] == ["manage.py"] and len(words) > 1:
        known = words[1] in DJANGO_COMMANDS or _there(f"*/management/commands/{words[1]}.py")
        return "" if known else f"no such command: {span}"
    return ""


def _located(line: str) -> Iterator[tuple[str, str]]:
    """Yield names with the Python file that the line says they are in."""
    matches = list(SPAN.finditer(line))
    inside = ""
    for before, after in pairwise(matches):
        between = line[before.end() : after.start()]
        if between in (" in ", " of ", " (") and after[1].endswith(".py") and not _is_path(before[1]):
            yield before[1], after[1]
        if before[1].endswith(".py") and between == " (":
            inside = before[1]
        elif ")" in between or before[1].endswith(".py"):
            inside = ""
        if inside and not _is_path(after[1]):
            yield after[1], inside


def problems(text: str) -> list[str]:
    """List what a guide names and the project does not have."""
    found: list[str] = []
    for line in FENCED.sub("", text).splitlines():
        spans = SPAN.findall(line)
        places = _places(spans)
        for span in spans:
            found.append(_path_problem(span, places) if _is_path(span) else _name_problem(span))
            found.append(_command_problem(span))
        found += [_name_problem(name, file) for name, file in _located(line) if file in _files()]
    return [problem for problem in found if problem]


@pytest.mark.parametrize("guide", GUIDES)
def test_a_guide_names_what_there_is(guide: str) -> None:
    assert problems((ROOT / guide).read_text(encoding="utf-8")) == []


@pytest.mark.parametrize("guide", GUIDES)
def test_a_guides_links_lead_somewhere(guide: str) -> None:
    text = (ROOT / guide).read_text(encoding="utf-8")
    links = re.findall(r"\]\(([^)]+)\)|<img src=\"([^\"]+)\"", text)
    headings = {_anchor(line) for line in FENCED.sub("", text).splitlines() if line.startswith("#")}
    for link in (first or second for first, second in links):
        assert link[1:] in headings if link.startswith("#") else _there(link), link


def _anchor(heading: str) -> str:
    return re.sub(r"[^\w -]", "", heading.lstrip("#").strip().lower()).replace(" ", "-")


def test_the_map_has_a_row_for_every_package() -> None:
    rows = re.findall(r"^\| (.*?) \|", (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8"), re.MULTILINE)
    named = {span for row in rows for span in SPAN.findall(row)}
    packages = {name.removesuffix("__init__.py") for name in _files() if name.endswith("/__init__.py")}
    # Parts of packages, and what Django names, are named in the row of what they belong to.
    covered = ("catalog/web/", "/migrations/", "/commands/")
    wanted = {name for name in packages if name.startswith(APPS) and name.count("/") > 1}
    assert {name for name in wanted if not any(part in name for part in covered)} - named == set()


@pytest.mark.parametrize("app", ["orders", "catalog", "costing"])
def test_the_order_of_the_packages_is_that_of_the_contracts(app: str) -> None:
    text = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
    stated = re.search(rf"^    {app}:(.*(?:\n {{10}}.*)*)", text, re.MULTILINE)
    contracts = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["tool"]["importlinter"][
        "contracts"
    ]
    layers = next(
        [layer.replace(f"{app}.", "") for layer in contract["layers"]]
        for contract in contracts
        if contract.get("containers") == [app] or contract.get("layers", [""])[0].startswith(f"{app}.")
    )
    assert stated is not None
    assert " ".join(stated[1].split()) == " → ".join(layers)


@pytest.mark.parametrize(
    "wrong",
    [
        "`orders/quotes/nowhere.py`",
        "`orders/nowhere/`",
        "`templates/<app>/nowhere/`",
        "a row of `orders/invoices/` (`pack_search.py`)",
        "`catalog.records.reasons.Nothing`",
        "`orders.nowhere`",
        "`quote_sennd()`",
        "`QuoteSennd`",
        "`quote_send()` in `orders/quotes/models.py`",
        "`orders/quotes/models.py` (`Quote`, `quote_send()`)",
        "`quote_send()` (`orders/quotes/models.py`)",
        "`make nothing`",
        "`manage.py nothing`",
    ],
)
def test_a_wrong_name_is_noticed(wrong: str) -> None:
    assert len(problems(wrong)) == 1


@pytest.mark.parametrize(
    "right",
    [
        "`orders/quotes/models.py` (`Quote`, `QuoteLine`) and `quote_send()`",
        "`quote_send()` in `orders/quotes/send/services.py`",
        "`templates/<app>/<package>/`, `forms.py`, `*_views.py`, `site/410.html`, `js/coldset.js`",
        "the tables of `orders/invoices/` (`credit_rows.py`)",
        "`catalog.records.reasons.Reason`, `costing.money`, `Kitchen.FoodSafety`",
        "`make test`, `manage.py migrate`, `manage.py outbox --loop`, `var/demo-<profile>/`, `/q/<token>/`",
    ],
)
def test_what_there_is_is_no_problem(right: str) -> None:
    assert problems(right) == []
