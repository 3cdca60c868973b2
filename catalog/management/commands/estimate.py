"""`manage.py estimate`: reads Briefs, prints one Estimate per line."""

from __future__ import annotations

import json
import sys
from argparse import ArgumentParser
from typing import Any

from django.core.management.base import BaseCommand

from catalog.book.command_presenters import book_checked
from catalog.management.headless import estimate_lines, read_document
from costing.contract import Book, CostingError, InputErrors


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
    book = _kitchen_book(unread) if book_path is None else read_document(book_path, "book", unread)
    return estimate_lines(book, brief_paths, unread, explain=explain)


def _kitchen_book(unread: list[CostingError]) -> Book | None:
    try:
        return book_checked()
    except InputErrors as found:
        unread.extend(found.errors)
        return None
