"""``manage.py person export|erase CUSTOMER``: everything stored about a customer, or its erasing."""

import os
from argparse import ArgumentParser
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import IO, Any

from django.core.management.base import BaseCommand, CommandError
from django.utils import timezone

from catalog.kitchen.selectors import kitchen
from catalog.web.display import kitchen_display
from orders.inquiries.models import Customer
from orders.personal_data.files import subject_zip
from orders.personal_data.presenters import erased_words, open_words, retained_words
from orders.personal_data.selectors import DataSubject, still_open
from orders.personal_data.services import subject_erase, subject_exported
from orders.records.actors import COMMAND


class Command(BaseCommand):
    """Exports or erases a customer's personal data."""

    help = "Export everything stored about a customer as a ZIP file, or erase what may be erased."
    # `serve` and `check` make the checks; here they would only load every page and the renderer.
    requires_system_checks = []

    def add_arguments(self, parser: ArgumentParser) -> None:
        """Declare the action, the customer, the file, and the confirmation."""
        parser.add_argument("action", choices=["export", "erase"])
        parser.add_argument("customer", help="the customer's number in the address of the page, or the e-mail address")
        parser.add_argument("file", nargs="?", help="the ZIP file to write, with export")
        parser.add_argument("--yes", action="store_true", help="erase; without it only what would happen is printed")

    def handle(self, *, action: str, customer: str, file: str | None, yes: bool, **options: Any) -> None:
        """Run the action."""
        subject = DataSubject(_customer(customer))
        if action == "export":
            self._export(subject, file)
        else:
            self._erase(subject, yes=yes)

    def _export(self, subject: DataSubject, file: str | None) -> None:
        if not file:
            raise CommandError("Name the ZIP file to write: manage.py person export CUSTOMER FILE.zip")
        now = timezone.now()
        with _new_file(Path(file)) as out, kitchen_display(kitchen()):
            subject_zip(out, subject, at=now)
        subject_exported(customer_id=subject.customer.pk, by=COMMAND, at=now)
        self.stdout.write(f"Written to {file}.")

    def _erase(self, subject: DataSubject, *, yes: bool) -> None:
        if words := open_words(still_open(subject)):
            raise CommandError(words)
        if yes:
            subject_erase(customer_id=subject.customer.pk, by=COMMAND, at=timezone.now())
            self.stdout.write("Erased.")
            return
        lines = ["This is erased:", *erased_words(subject), "", "This stays, and why:", *retained_words(subject), ""]
        self.stdout.write("\n".join([*lines, "Nothing was erased yet: add --yes."]))


def _customer(text: str) -> Customer:
    found = Customer.objects.filter(pk=int(text)) if text.isascii() and text.isdigit() else None
    if found is None:
        found = Customer.objects.filter(email__iexact=text) if "@" in text else Customer.objects.none()
    people = list(found[:3])
    if not people:
        raise CommandError("No customer has this number or e-mail address.")
    if len(people) > 1:
        numbers = ", ".join(str(subject.pk) for subject in people)
        raise CommandError(f"Several customers have this address: give the number of one ({numbers}).")
    return people[0]


@contextmanager
def _new_file(file: Path) -> Iterator[IO[bytes]]:
    """Open a file that only its owner can read; it must not exist."""
    try:
        with os.fdopen(os.open(file, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600), "wb") as out:
            yield out
    except OSError as problem:
        raise CommandError(f"{file}: {problem.strerror or problem}. Choose a file that does not exist.") from problem
