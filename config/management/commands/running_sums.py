"""Proves the running sums of months and orders against the documents themselves, or writes them anew."""

from argparse import ArgumentParser
from typing import Any, Final

from django.core.management.base import BaseCommand, CommandError

from orders.invoices.running_sums import sums_rewrite, sums_wrong

#: Wrong sums that are named; the others are counted.
SHOWN: Final = 20


class Command(BaseCommand):
    """Compares; with ``--write`` writes the sums anew first."""

    help = "Compare the sums by month and by order with the issued documents and payments."
    # `serve` and `check` make the checks; here they would only load every page and the renderer.
    requires_system_checks = []

    def add_arguments(self, parser: ArgumentParser) -> None:
        """Declare --write."""
        parser.add_argument("--write", action="store_true", help="write all sums anew, then compare")

    def handle(self, *args: Any, **options: Any) -> None:
        """Say that they are right, or name those that are not."""
        if options["write"]:
            sums_rewrite()
        wrong = [f"{table} {key}" for table, keys in sums_wrong().items() for key in keys]
        if wrong:
            named = "\n".join([*wrong[:SHOWN], *(["…"] if len(wrong) > SHOWN else [])])
            raise CommandError(f"{len(wrong)} sums are wrong; --write writes them anew:\n{named}")
        self.stdout.write("Every sum is what the documents add up to.")
