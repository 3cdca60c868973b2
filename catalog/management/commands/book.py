"""``manage.py book export|import BOOK.json``: a whole kitchen as a file, ``-`` for standard input or output."""

import json
import sys
from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError
from django.db import DatabaseError

from catalog.book.command_presenters import database_sentence
from catalog.book.services import book_export, book_import, book_text
from catalog.records.errors import CatalogError
from catalog.records.presenters import sentence
from costing.contract import CostingError, InputErrors


class Command(BaseCommand):
    """Export the catalog as a Book, or replace it by one."""

    help = "Write the whole catalogue as a Book, or replace it by one. A Book with errors changes nothing."
    # System checks are skipped: the command needs the database only, no URLs, templates or mail server.
    requires_system_checks = []

    def add_arguments(self, parser: ArgumentParser) -> None:
        """Declare the action and the file."""
        parser.add_argument("action", choices=["export", "import"])
        parser.add_argument("file", help="the Book's JSON file; - for standard input or output")

    def handle(self, *, action: str, file: str, **options: Any) -> None:
        """Run the action; errors of a Book go to standard error as JSON, with exit code 2."""
        try:
            if action == "export":
                self._export(file)
            else:
                self._import(file)
        except InputErrors as refused:
            self.stderr.write(json.dumps(refused.as_json()), style_func=str)
            sys.exit(2)
        except DatabaseError as problem:
            error = CostingError("schema", "book#", database_sentence(problem))
            self.stderr.write(json.dumps(InputErrors([error]).as_json()), style_func=str)
            sys.exit(2)
        except CatalogError as refused:
            raise CommandError(sentence(refused)) from refused
        except OSError as problem:
            raise CommandError(f"{file}: {problem.strerror or problem}. Check the path.") from problem

    def _export(self, file: str) -> None:
        if file == "-":
            self.stdout.write(book_text(), ending="")
        else:
            book_export(path=Path(file))

    def _import(self, file: str) -> None:
        data = sys.stdin.buffer.read() if file == "-" else Path(file).read_bytes()
        counts = book_import(data=data)
        self.stderr.write(
            "Taken over: " + ", ".join(f"{count} {kind.replace('_', ' ')}" for kind, count in counts.items()) + ".",
            style_func=str,
        )
