"""Which sentences of cancellation terms can still apply to an event, with their dates."""

from datetime import UTC, datetime
from types import SimpleNamespace
from typing import Any

import pytest

from orders.quotes.terms.cancellation_presenters import cancellation_now

TERMS = (
    "Up to 21 days before the event we return the deposit. From 20 to 8 days before we retain the deposit. "
    "Within 7 days the whole price is due."
)


def content(sent: int, terms: str = TERMS) -> Any:
    """Return what is read of a content of an event on January 22, sent on a day of that month."""
    event = SimpleNamespace(window_start=datetime(2027, 1, 22, 18, tzinfo=UTC))
    return SimpleNamespace(event=event, sent_at=datetime(2027, 1, sent, 9, tzinfo=UTC), cancellation_terms=terms)


def test_three_days_before_only_the_last_sentence_stands() -> None:
    """Seen: a deposit that would be returned up to 21 days before, on the quote of an event in three."""
    assert cancellation_now(content(19)) == ["Within 7 days the whole price is due."]


def test_what_still_applies_has_its_dates() -> None:
    until, from_ = cancellation_now(content(8))
    assert until == "From 20 to 8 days before (until Thursday, January 14, 2027) we retain the deposit."
    assert from_ == "Within 7 days (from Friday, January 15, 2027) the whole price is due."


@pytest.mark.parametrize("terms", ["", "Call us.", "Up to 21 days before we return it. Then we decide.", TERMS[:60]])
def test_terms_that_do_not_all_say_their_days_stand_as_they_are(terms: str) -> None:
    assert cancellation_now(content(19, terms)) == []


def test_a_sentence_that_refers_to_one_left_out_does_not_stand_alone() -> None:
    """Seen: "From 20 to 8 days before we keep it." without the sentence that named the deposit."""
    terms = (
        "Up to 21 days before the event we return the deposit. From 20 to 8 days before we keep it. "
        "Within 7 days the whole price is due."
    )
    assert cancellation_now(content(8, terms)) == []


def test_terms_that_can_all_apply_need_no_second_text() -> None:
    assert cancellation_now(content(1)) == []
