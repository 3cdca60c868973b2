"""Writes the state diagrams of quotes, orders and invoices into DEVELOPERS.md, from their transition tables."""

from argparse import ArgumentParser
from pathlib import Path
from typing import Any, Final

from django.conf import settings
from django.core.management.base import BaseCommand, CommandError

from orders.records.states import (
    INVOICE_TRANSITIONS,
    ORDER_TRANSITIONS,
    QUOTE_TRANSITIONS,
    InvoiceStatus,
    OrderStatus,
    QuoteStatus,
    TransitionTable,
)

STATES: Final = "orders/records/states.py"
BEGIN: Final = f"<!-- diagrams: written by `manage.py diagrams` from {STATES} -->"
END: Final = "<!-- /diagrams -->"
LIVES: Final = (
    ("Quote", QUOTE_TRANSITIONS, QuoteStatus.DRAFT),
    ("Order", ORDER_TRANSITIONS, OrderStatus.CONFIRMED),
    ("Invoice and credit note", INVOICE_TRANSITIONS, InvoiceStatus.DRAFT),
)


class Command(BaseCommand):
    """Writes the diagrams, or checks that they match the tables."""

    help = f"Write the state diagrams of DEVELOPERS.md from {STATES}."

    def add_arguments(self, parser: ArgumentParser) -> None:
        """Declare --check, which writes nothing."""
        parser.add_argument("--check", action="store_true", help="only tell whether they are as the tables say")

    def handle(self, *args: Any, **options: Any) -> None:
        """Write the diagrams between the markers."""
        path = Path(settings.BASE_DIR) / "DEVELOPERS.md"
        before = path.read_text(encoding="utf-8")
        after = replaced(before)
        if options["check"]:
            if before != after:
                raise CommandError(f"The diagrams in DEVELOPERS.md differ from {STATES}: run manage.py diagrams")
            return
        path.write_text(after, encoding="utf-8")


def diagrams() -> str:
    """Return the text between the markers."""
    return "\n".join(f"\n### {name}\n\n{_diagram(table, first)}" for name, table, first in LIVES)


def replaced(text: str) -> str:
    """Return the text with the diagrams between its markers.

    Raises CommandError when the markers are missing.
    """
    head, begin, rest = text.partition(BEGIN)
    _, end, tail = rest.partition(END)
    if not (begin and end):
        raise CommandError(f"DEVELOPERS.md lacks the markers {BEGIN} and {END}")
    return f"{head}{BEGIN}\n{diagrams()}\n\n{END}{tail}"


def _diagram(table: TransitionTable, first: str) -> str:
    lines = ["```mermaid", "stateDiagram-v2", f"    [*] --> {first}"]
    for status, ways in table.items():
        lines += [f"    {status} --> {after}: {event.replace('_', ' ')}" for event, after in ways.items()]
        if not ways:
            lines.append(f"    {status} --> [*]")
    return "\n".join([*lines, "```"])
