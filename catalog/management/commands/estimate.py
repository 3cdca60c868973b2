"""`manage.py estimate`: reads Briefs, prints one Estimate per line."""

from __future__ import annotations

import json
import sys
from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand

from catalog.book.command_presenters import book_checked
from costing.contract import Book, CostingError, InputErrors
from costing.headless import Document, estimates


class Command(BaseCommand):
    """Print Estimates as JSON Lines; on any error print all errors and no Estimate, and exit 2."""

    help = (
        "Works out what an order takes, costs and is charged. Prints one Estimate per Brief and line. When anything is"
        " wrong with the Book or with any Brief, it prints every error on standard error and no Estimate, and exits 2."
    )
    # System checks are skipped: with --book no database is needed; without it the query for the Book reports what is
    # wrong.
    requires_system_checks: list[str] = []

    def add_arguments(self, parser: ArgumentParser) -> None:
        """Declare the command's arguments."""
        parser.add_argument("briefs", nargs="+", metavar="BRIEF.json", help="what a customer asks for")
        parser.add_argument("--book", metavar="BOOK.json", help="the Book to price with; the kitchen's own without it")
        parser.add_argument("--explain", action="store_true", help="add the formula and inputs of every figure")

    def handle(self, *args: Any, **options: Any) -> None:
        """Print the Estimates, or the errors."""
        try:
            lines = _lines(options["book"], options["briefs"], explain=options["explain"])
        except InputErrors as found:
            self.stderr.write(json.dumps(found.as_json()), style_func=str)  # no colours inside JSON
            sys.exit(2)
        for line in lines:
            self.stdout.write(line)


def _lines(book_path: str | None, brief_paths: list[str], *, explain: bool) -> list[str]:
    unread: list[CostingError] = []
    book = _kitchen_book(unread) if book_path is None else _document(book_path, "book", unread)
    briefs = [_document(path, "brief", unread) for path in brief_paths]
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


def _kitchen_book(unread: list[CostingError]) -> Book | None:
    try:
        return book_checked()
    except InputErrors as found:
        unread.extend(found.errors)
        return None


def _document(path: str, root: str, unread: list[CostingError]) -> Document | None:
    try:
        return path, Path(path).read_bytes()
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or str(error)
        message = f"{path} cannot be read: {reason}. Name a file with a {root.capitalize()}."
        unread.append(CostingError("schema", f"{root}#", message))
        return None
