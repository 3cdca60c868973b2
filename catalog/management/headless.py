"""`manage.py estimate` with a Book from a file: everything but the kitchen's own Book, without Django.

Starting Django takes three times as long as a small estimate. `manage.py` asks `read_arguments()` first; what that does
not understand (another command, another option, a wrong use, help) is Django's, whose answers are then the usual ones.
"""

import json
import sys
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TextIO

from costing.contract import Book, CostingError, InputErrors
from costing.headless import Document, estimates


@dataclass(frozen=True, slots=True)
class Arguments:
    """The paths named on the command line, and whether figures are explained."""

    book: str
    briefs: tuple[str, ...]
    explain: bool = False


def read_arguments(words: Sequence[str]) -> Arguments | None:
    """Read `estimate --book BOOK.json BRIEF.json … [--explain]`; None for anything else, also where it is wrong."""
    if list(words[:1]) != ["estimate"]:
        return None
    books, briefs, explain = list[str](), list[str](), False
    rest = iter(words[1:])
    for word in rest:
        if word == "--book":
            books.append(next(rest, ""))
        elif word.startswith("--book="):
            books.append(word.removeprefix("--book="))
        elif word == "--explain":
            explain = True
        else:
            briefs.append(word)
    plain = all(path and not path.startswith("-") for path in (*books, *briefs))
    return Arguments(books[0], tuple(briefs), explain) if plain and len(books) == 1 and briefs else None


def run(arguments: Arguments, out: TextIO = sys.stdout, err: TextIO = sys.stderr) -> int:
    """Print the Estimates, or the errors; return the exit code."""
    unread: list[CostingError] = []
    book = read_document(arguments.book, "book", unread)
    try:
        lines = estimate_lines(book, arguments.briefs, unread, explain=arguments.explain)
    except InputErrors as found:
        err.write(json.dumps(found.as_json()) + "\n")
        return 2
    for line in lines:
        out.write(line + "\n")
    return 0


def estimate_lines(
    book: Book | Document | None, brief_paths: Sequence[str], unread: list[CostingError], *, explain: bool
) -> list[str]:
    """Return one Estimate per Brief as JSON. ``unread`` are the errors of reading files so far.

    Raises
    ------
    InputErrors
        Everything that is wrong with the Book, the Briefs and their files.
    """
    briefs = [read_document(path, "brief", unread) for path in brief_paths]
    readable = [brief for brief in briefs if brief is not None]
    try:
        written = estimates(("", "") if book is None else book, readable, explain=explain)
    except InputErrors as found:
        # An unreadable Book is passed on as empty text; report only the error of reading the file.
        reported = [error for error in found.errors if book is not None or not error.at.startswith("book#")]
        raise InputErrors([*unread, *reported]) from None
    if unread:
        raise InputErrors(unread)
    return [json.dumps(estimate) for estimate in written]


def read_document(path: str, root: str, unread: list[CostingError]) -> Document | None:
    """Return a file's name and bytes; add to ``unread`` and return None when it cannot be read."""
    try:
        return path, Path(path).read_bytes()
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or str(error)
        message = f"{path} cannot be read: {reason}. Name a file with a {root.capitalize()}."
        unread.append(CostingError("schema", f"{root}#", message))
        return None
