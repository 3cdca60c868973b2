"""`manage.py estimate`, run as a program and in this process."""

from __future__ import annotations

import json
import subprocess
import sys
from io import StringIO
from pathlib import Path
from typing import Any

import pytest
from django.core.management import call_command

from tests.contract.comparing import differences

EXAMPLES = Path(__file__).parent / "examples"
ROOT = Path(__file__).parents[2]
BOOK = str(EXAMPLES / "small.book.json")
BRIEF = str(EXAMPLES / "small.dessert-table.brief.json")
OTHER = str(EXAMPLES / "small.pickup-minimum.brief.json")


def run(*args: str) -> tuple[int, str, str]:
    out, err = StringIO(), StringIO()
    try:
        call_command("estimate", *args, stdout=out, stderr=err)
    except SystemExit as stopped:
        return int(stopped.code or 0), out.getvalue(), err.getvalue()
    return 0, out.getvalue(), err.getvalue()


def refused(*args: str) -> list[dict[str, Any]]:
    code, out, err = run(*args)
    assert (code, out) == (2, "")
    found: list[dict[str, Any]] = json.loads(err)["errors"]
    assert found
    return found


def test_one_estimate_per_line_in_the_order_asked() -> None:
    code, out, err = run("--book", BOOK, BRIEF, OTHER)
    assert (code, err) == (0, "")
    found = [json.loads(line) for line in out.splitlines()]
    for estimate, name in zip(found, ("small.dessert-table", "small.pickup-minimum"), strict=True):
        assert list(differences(estimate, json.loads((EXAMPLES / f"{name}.estimate.json").read_text()))) == []


def test_the_program_needs_no_database(tmp_path: Path) -> None:
    done = subprocess.run(
        [sys.executable, "manage.py", "estimate", "--book", BOOK, BRIEF],
        cwd=ROOT,
        capture_output=True,
        text=True,
        timeout=120,
        env={
            "PATH": "",
            "COLDSET_DB": str(tmp_path / "nowhere" / "none.sqlite3"),
            "DJANGO_SETTINGS_MODULE": "tests.settings",
        },
    )
    assert (done.returncode, done.stderr) == (0, "")
    assert json.loads(done.stdout)["format"] == "coldset-estimate/1"


def test_a_missing_file_is_named() -> None:
    errors = refused("--book", "nowhere.json", BRIEF)
    assert [(e["code"], e["at"]) for e in errors] == [("schema", "book#")]
    assert "nowhere.json" in errors[0]["message"]
    assert [(e["code"], e["at"]) for e in refused("--book", BOOK, "nothing.json")] == [("schema", "brief#")]


ODD = (
    b"",
    b"{",
    b"[]",
    b"null",
    b"3",
    b"\xff\xfe",
    b'{"a": NaN}',
    b"[" * 100_000,
    b'{"a":' * 5000 + b"1" + b"}" * 5000,
    b"\x00",
    b"1" * 10000,
    b'{"format": "coldset-book/1", "products": 1e999}',
)


@pytest.mark.parametrize("text", ODD, ids=range(len(ODD)))
def test_whatever_a_file_holds_the_answer_is_an_error_and_never_a_traceback(tmp_path: Path, text: bytes) -> None:
    path = tmp_path / "odd.json"
    path.write_bytes(text)
    assert {e["code"] for e in refused("--book", str(path), BRIEF)} == {"schema"}
    assert {e["code"] for e in refused("--book", BOOK, str(path))} == {"schema"}


def test_a_key_that_stands_twice_is_named(tmp_path: Path) -> None:
    path = tmp_path / "twice.json"
    path.write_text(Path(BRIEF).read_text().replace('"date"', '"date": "2026-11-24", "date"', 1))
    assert [(e["code"], e["at"]) for e in refused("--book", BOOK, str(path))] == [("schema", "brief#/date")]


def test_errors_of_book_and_all_briefs_come_at_once_and_nothing_is_printed(tmp_path: Path) -> None:
    brief = json.loads(Path(BRIEF).read_text())
    brief["lines"][0]["units"] = 95
    brief["discount"] = "1.5"
    (tmp_path / "a.json").write_text(json.dumps(brief))
    errors = refused("--book", BOOK, BRIEF, str(tmp_path / "a.json"))
    assert {(e["code"], e["at"]) for e in errors} == {
        ("bad_units", "brief#/lines/0/units"),
        ("bad_share", "brief#/discount"),
    }
    assert all("a.json" in e["message"] for e in errors)
    book = json.loads(Path(BOOK).read_text())
    book["recipes"][3]["loss"] = "1"
    (tmp_path / "book.json").write_text(json.dumps(book))
    both = refused("--book", str(tmp_path / "book.json"), str(tmp_path / "a.json"))
    assert [(e["code"], e["at"]) for e in both] == [
        ("bad_share", "book#/recipes/3/loss"),
        ("bad_units", "brief#/lines/0/units"),
        ("bad_share", "brief#/discount"),
    ]


def test_explain_adds_a_formula_to_every_figure_and_changes_none() -> None:
    _, plain, _ = run("--book", BOOK, BRIEF)
    _, printed, _ = run("--book", BOOK, "--explain", BRIEF)
    with_words = json.loads(printed)
    words = with_words.pop("explain")
    assert with_words == json.loads(plain)
    assert "/lines/0/unit_cost" in words
    for place, how in words.items():
        assert how["formula"], place
        value: Any = with_words
        for step in place.split("/")[1:]:
            value = value[int(step)] if isinstance(value, list) else value[step]
        assert value is not None


def test_a_call_without_a_brief_exits_2() -> None:
    done = subprocess.run(
        [sys.executable, "manage.py", "estimate", "--book", BOOK], cwd=ROOT, capture_output=True, timeout=120
    )
    assert done.returncode == 2
    assert b"Traceback" not in done.stderr
