"""The transition tables are complete: every status has a row, every event leads to a known status."""

from typing import NamedTuple

import pytest
from django.db.models import TextChoices

from orders.records.states import (
    INVOICE_TRANSITIONS,
    ORDER_TRANSITIONS,
    QUOTE_TRANSITIONS,
    InvoiceEvent,
    InvoiceStatus,
    OrderEvent,
    OrderStatus,
    QuoteEvent,
    QuoteStatus,
    TransitionTable,
)


class StatusTable(NamedTuple):
    """A document's transition table and labels."""

    table: TransitionTable
    statuses: type[TextChoices]
    events: type[TextChoices]
    first: str


LIVES = [
    StatusTable(QUOTE_TRANSITIONS, QuoteStatus, QuoteEvent, "draft"),
    StatusTable(ORDER_TRANSITIONS, OrderStatus, OrderEvent, "confirmed"),
    StatusTable(INVOICE_TRANSITIONS, InvoiceStatus, InvoiceEvent, "draft"),
]
each_life = pytest.mark.parametrize("life", LIVES, ids=["quote", "order", "invoice"])


@each_life
def test_every_status_has_a_row_of_known_events_and_statuses(life: StatusTable) -> None:
    assert set(life.table) == set(life.statuses)
    for ways in life.table.values():
        assert set(ways) <= set(life.events)
        assert set(ways.values()) <= set(life.statuses)


@each_life
def test_every_event_is_of_use(life: StatusTable) -> None:
    assert {event for ways in life.table.values() for event in ways} == set(life.events)


@each_life
def test_every_status_can_be_reached_from_the_first(life: StatusTable) -> None:
    reached, before = {life.first}, set[str]()
    while reached != before:
        before = set(reached)
        reached |= {after for status in before for after in life.table[status].values()}
    assert reached == set(life.statuses)


def test_what_was_approved_is_never_taken_back() -> None:
    """An amendment that was approved takes its place; then it is over."""
    assert QUOTE_TRANSITIONS[QuoteStatus.APPROVED] == {QuoteEvent.AMEND: QuoteStatus.AMENDED}
    assert QUOTE_TRANSITIONS[QuoteStatus.AMENDED] == {}


def test_an_issued_invoice_is_never_a_draft_again() -> None:
    ways = [after for row in INVOICE_TRANSITIONS.values() for after in row.values()]
    assert InvoiceStatus.DRAFT not in ways
