"""The diagrams that developers read are drawn from the tables that the service runs on."""

import pytest
from django.core.management import CommandError, call_command

from config.management.commands import diagrams
from orders.records.states import INVOICE_TRANSITIONS, ORDER_TRANSITIONS, QUOTE_TRANSITIONS


def test_the_diagrams_are_as_the_tables_say() -> None:
    call_command("diagrams", "--check")


def test_every_way_of_every_table_is_drawn_once() -> None:
    drawn = diagrams.diagrams().splitlines()
    for table in (QUOTE_TRANSITIONS, ORDER_TRANSITIONS, INVOICE_TRANSITIONS):
        for status, ways in table.items():
            for event, after in ways.items():
                line = f"    {status} --> {after}: {event.replace('_', ' ')}"
                assert line in drawn


def test_an_outdated_diagram_is_replaced_and_the_rest_of_the_text_stays() -> None:
    text = f"before\n{diagrams.BEGIN}\nold\n{diagrams.END}\nafter\n"
    new = diagrams.replaced(text)
    assert new.startswith("before\n")
    assert new.endswith("\nafter\n")
    assert "old" not in new
    assert diagrams.replaced(new) == new


def test_a_text_without_the_markers_is_refused() -> None:
    with pytest.raises(CommandError, match="markers"):
        diagrams.replaced("nothing here")
