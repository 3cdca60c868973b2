"""`manage.py estimate` as a program: the same answers without Django, which is started only where it is needed."""

from __future__ import annotations

import subprocess
import sys

import pytest

from catalog.management.headless import Arguments, read_arguments
from catalog.management.headless import run as run_headless
from tests.contract.test_command import BOOK, BRIEF, OTHER, ROOT, run

#: Runs the program, then says which of these it imported.
WATCHED = ("django", "celery", "pint", "numpy", "config", "openpyxl", "weasyprint", "jsonschema")
PROGRAM = f"""
import sys, manage
try:
    manage.main()
finally:
    print(*(name for name in {WATCHED!r} if name in sys.modules), file=sys.stderr)
"""


def started(*words: str) -> subprocess.CompletedProcess[str]:
    command = [sys.executable, "-c", PROGRAM, *words]
    env = {"PATH": "", "DJANGO_SETTINGS_MODULE": "tests.settings"}
    return subprocess.run(command, cwd=ROOT, capture_output=True, text=True, timeout=120, env=env)


def test_an_estimate_that_names_its_book_starts_neither_django_nor_a_library_it_does_not_need() -> None:
    done = started("estimate", "--book", BOOK, BRIEF)
    assert done.returncode == 0
    assert done.stderr.split() == []


def test_so_does_one_with_errors() -> None:
    done = started("estimate", "--book", BOOK, "no-such-file.json")
    assert done.returncode == 2
    assert done.stderr.splitlines()[1:] == [""]


@pytest.mark.parametrize(
    "words",
    [
        ("--book", BOOK, BRIEF, OTHER),
        ("--explain", f"--book={BOOK}", BRIEF),
        (BRIEF, "--book", BOOK),
        ("--book", BRIEF, BRIEF),
        ("--book", "no-such-file.json", BRIEF, BOOK),
        ("--book", BOOK, "no-such-file.json", BRIEF),
        ("--book", BOOK, "\0"),
    ],
)
def test_the_answers_are_those_of_the_command(words: tuple[str, ...], capfd: pytest.CaptureFixture[str]) -> None:
    arguments = read_arguments(("estimate", *words))
    assert arguments is not None
    code = run_headless(arguments, sys.stdout, sys.stderr)
    printed = capfd.readouterr()
    assert (code, printed.out, printed.err) == run(*words)


@pytest.mark.parametrize(
    "words",
    [
        (),
        ("estimate",),
        ("estimate", BRIEF),
        ("estimate", "--book", BOOK),
        ("estimate", "--book"),
        ("estimate", "--book=", BRIEF),
        ("estimate", "--book", BOOK, "--book", BOOK, BRIEF),
        ("estimate", "--book", BOOK, BRIEF, "--help"),
        ("estimate", "--book", BOOK, BRIEF, "-v"),
        ("estimate", "--book", BOOK, "--", BRIEF),
        ("estimate", "--settings=tests.settings", "--book", BOOK, BRIEF),
        ("book", "export", BOOK),
    ],
)
def test_anything_else_is_for_django(words: tuple[str, ...]) -> None:
    assert read_arguments(words) is None


def test_all_forms_of_naming_the_book_are_understood() -> None:
    asked = Arguments(BOOK, (BRIEF,), explain=True)
    assert read_arguments(("estimate", "--explain", "--book", BOOK, BRIEF)) == asked
    assert read_arguments(("estimate", BRIEF, f"--book={BOOK}", "--explain")) == asked
