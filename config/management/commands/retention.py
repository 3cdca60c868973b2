"""``manage.py retention [--apply]``: how long each kind of row is kept, and letting go of what is older."""

from argparse import ArgumentParser
from typing import Any

from django.core.management.base import BaseCommand
from django.utils import timezone

from orders.personal_data.presenters import retention_words_of
from orders.personal_data.retention import retention_apply, retention_table


class Command(BaseCommand):
    """Prints the periods and what is older; with --apply lets go of it."""

    help = "Show how long each kind of row is kept and how many are older; --apply lets go of them."
    # `serve` and `check` make the checks; here they would only load every page and the renderer.
    requires_system_checks = []

    def add_arguments(self, parser: ArgumentParser) -> None:
        """Declare --apply."""
        parser.add_argument("--apply", action="store_true", help="delete and erase what is older")

    def handle(self, *, apply: bool, **options: Any) -> None:
        """Print the table, or apply it."""
        now = timezone.now()
        self.stdout.write("\n".join(retention_words_of(retention_table(at=now))))
        if not apply:
            self.stdout.write(
                "\nNothing was removed: add --apply. The periods are defaults, not advice: "
                "local law decides what must be kept and for how long. Ask your adviser. "
                "COLDSET_RETENTION changes them."
            )
            return
        done = retention_apply(at=now, everything=True)
        self.stdout.write("\nRemoved: " + ", ".join(f"{count} {kind}" for kind, count in done.items()) + ".")
