"""Every refusal has a sentence, and its parameters are written as people read them."""

import string
from collections.abc import Iterator
from datetime import UTC, date, datetime
from decimal import Decimal

import pytest

from catalog.records import presenters as shared
from catalog.records.reasons import Reason
from orders.records.closed_errors import QuoteExpired
from orders.records.errors import BelowFloor, DoesNotAddUp, NotPaid, OrderError, TransitionNotAllowed
from orders.records.money import from_minor
from orders.records.presenters import SENTENCES, WRITERS, sentence
from tests.each import each


def _below(error: type[OrderError]) -> Iterator[type[OrderError]]:
    yield error
    for lower in error.__subclasses__():
        if lower.__module__.startswith("orders."):
            yield from _below(lower)


@each("error", list(_below(OrderError)), ids=lambda error: error.__name__)
def test_every_refusal_has_a_code_of_its_own_and_a_sentence(error: type[OrderError]) -> None:
    assert error.code in SENTENCES
    assert [other for other in _below(OrderError) if other.code == error.code] == [error]


@each("code", SENTENCES)
def test_what_a_sentence_writes_in_a_way_of_its_own_has_a_writer(code: str) -> None:
    ways = {way for _, _, way, _ in string.Formatter().parse(SENTENCES[code]) if way}
    assert ways <= {*shared.WRITERS, *WRITERS}


@pytest.mark.parametrize(
    ("error", "wording"),
    [
        (
            NotPaid(order="O-00001", open=from_minor(123_45, "USD")),
            "O-00001 is not paid: $123.45 is due. Record the payment, then close the order.",
        ),
        (
            QuoteExpired(day=datetime(2027, 1, 6, 14, tzinfo=UTC)),
            "This quote was valid until Wednesday, January 6, 2027, 2:00 PM, so it can no longer be approved. "
            "Ask the kitchen for a new one.",
        ),
        (
            BelowFloor(what="Q-00001", margin=None, floor=Decimal("0.3")),
            "Q-00001 has a margin of nothing on the products, below the floor of 30.0%. "
            "Raise a price, lower the discount, or record why it may go below.",
        ),
        (
            DoesNotAddUp(what=Reason("quote", {"number": "Q-00001"})),
            "The lines of quote Q-00001 do not add up to its totals, so nothing was issued.",
        ),
        (
            TransitionNotAllowed(what="I-00001", status="part_paid", event="pay_part"),
            "I-00001 is partly paid, so you cannot part pay it.",
        ),
    ],
)
def test_a_refusal_reads_as_a_sentence(error: OrderError, wording: str) -> None:
    assert sentence(error) == wording


def test_a_day_is_written_in_full() -> None:
    assert WRITERS["day"](date(2027, 1, 6)) == "Wednesday, January 6, 2027"
