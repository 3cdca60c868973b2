"""Payment schedules against tables made by hand: amounts that add up to the total, and days before the event."""

from dataclasses import replace
from datetime import date, datetime, timedelta
from decimal import Decimal
from fractions import Fraction
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from catalog.kitchen.payment_schedule import READY, PaymentRow, amounts_of, payments_read, payments_stored
from orders.quotes.terms.dates import Ahead, Term, Usual, compute_dates, deposit_due
from orders.quotes.terms.schedule import amounts_amended, asked_of, deposit_of

NEW_YORK = ZoneInfo("America/New_York")
THIRD = READY["thirds"].rows[0].share


def rows(*each: tuple[int, str | int | None]) -> list[PaymentRow]:
    """Return rows of (days, share as text, or minor units, or None for the rest)."""
    return [
        PaymentRow(days, Decimal(what), None) if isinstance(what, str) else PaymentRow(days, None, what)
        for days, what in each
    ]


@pytest.mark.parametrize(
    ("total", "share", "fixed", "given", "deposit", "amounts"),
    [
        # 30% of 1000.00, then all that is left.
        (100_000, "0.3", None, rows((14, None)), 30_000, [70_000]),
        # Halves of 1.01: half up 0.51, and what is left of the whole.
        (101, "0.5", None, rows((14, "0.5")), 51, [50]),
        # Quarters of 0.99: 0.2475 is 0.25; 0.495 is 0.50, so 0.25; 0.7425 is 0.74, so 0.24; the rest 0.25.
        (99, "0.25", None, rows((60, "0.25"), (30, "0.25"), (14, "0.25")), 25, [25, 24, 25]),
        # Thirds of 900.00 are 300.00 each; of 1000.00 they are 333.33, 333.34, 333.33.
        (90_000, str(THIRD), None, rows((60, str(THIRD)), (14, None)), 30_000, [30_000, 30_000]),
        (100_000, str(THIRD), None, rows((60, str(THIRD)), (14, None)), 33_333, [33_334, 33_333]),
        # 500.00 as an amount, 40% of all of it, the rest.
        (123_457, "0.3", 50_000, rows((30, "0.4"), (14, None)), 50_000, [49_383, 24_074]),
        # An amount that is more than the total is cut, and nothing is left for the others.
        (40_000, "0.3", 50_000, rows((30, 10_000), (14, None)), 40_000, [0, 0]),
        (40_000, "0", None, rows((30, 50_000), (14, None)), 0, [40_000, 0]),
        # Yen have no smaller unit: a third of 1000 is 333, two thirds are 667.
        (1_000, str(THIRD), None, rows((60, str(THIRD)), (14, None)), 333, [334, 333]),
        (0, "0.5", None, rows((14, None)), 0, [0]),
    ],
)
def test_amounts_are_as_on_paper(
    total: int, share: str, fixed: int | None, given: list[PaymentRow], deposit: int, amounts: list[int]
) -> None:
    assert deposit_of(total, Fraction(share), fixed) == deposit
    part = Fraction(share) if fixed is None else Fraction(0)
    assert amounts_of(total, deposit, given, share=part) == amounts


SHARES = st.lists(st.integers(0, 1000), min_size=1, max_size=6)


@given(total=st.integers(0, 10**9), parts=SHARES)
def test_shares_that_are_the_whole_add_up_to_the_total(total: int, parts: list[int]) -> None:
    whole = sum(parts)
    if not whole:
        return
    shares = [Decimal(part * 1000 // whole) / 1000 for part in parts]
    shares[-1] += 1 - sum(shares)
    first, *others = shares
    deposit = deposit_of(total, Fraction(first), None)
    found = amounts_of(total, deposit, [PaymentRow(9, one) for one in others], share=Fraction(first))
    assert deposit + sum(found) == total
    assert all(amount >= 0 for amount in found)


def test_what_is_asked_for_can_be_more_than_the_total() -> None:
    assert asked_of(40_000, 50_000, rows((30, 10_000), (14, None))) == 60_000
    assert asked_of(40_000, 12_000, rows((30, "0.5"))) == 32_000


@pytest.mark.parametrize(
    ("agreed", "was", "total", "last_open", "found"),
    [
        # A balance after the invoice takes what is more, and gives what is less.
        ([300, 400], 1_000, 1_200, True, [300, 400]),
        ([300, 400], 1_000, 800, True, [300, 400]),
        # Below the payments the last one is cut first, the deposit last.
        ([300, 400], 1_000, 600, True, [300, 300]),
        ([300, 400], 1_000, 250, True, [250, 0]),
        # Where the payments are the whole, the last one takes it while it is not due.
        ([300, 700], 1_000, 1_100, True, [300, 800]),
        ([300, 700], 1_000, 1_100, False, [300, 700]),
        ([300, 300, 400], 1_000, 900, True, [300, 300, 300]),
        # A deposit alone is as agreed.
        ([300], 1_000, 1_100, True, [300]),
        ([300], 300, 400, False, [300]),
    ],
)
def test_a_change_falls_on_the_last_open_payment(
    agreed: list[int], was: int, total: int, last_open: bool, found: list[int]
) -> None:
    assert amounts_amended(agreed, total, was_minor=was, last_open=last_open) == found


def ny(text: str) -> datetime:
    """Return a moment by the clocks of New York."""
    return datetime.fromisoformat(text).replace(tzinfo=NEW_YORK)


@pytest.mark.parametrize(
    ("now", "event", "begins", "days", "due"),
    [
        # June 19 - 14 = June 5; June 19 - 60 = April 20.
        ("2027-01-06T09:00", "2027-06-19T15:30", None, (60, 14), ("2027-04-20", "2027-06-05")),
        # A leap year: March 14 - 14 is February 29. A common one: February 28.
        ("2028-01-06T09:00", "2028-03-14T15:30", None, (14,), ("2028-02-29",)),
        ("2027-01-06T09:00", "2027-03-14T15:30", None, (14,), ("2027-02-28",)),
        # Over the night of March 14, 2027, which has an hour less, and that of November 7, which has one more.
        ("2027-01-06T09:00", "2027-03-15T01:30", None, (1,), ("2027-03-14",)),
        ("2027-10-01T09:00", "2027-11-08T00:30", None, (1,), ("2027-11-07",)),
        # On the day of the event: the last day before it.
        ("2027-01-06T09:00", "2027-02-06T15:30", None, (0,), ("2027-02-05",)),
        # Work begins on the 3rd, so the 2nd is the last day for what was wanted one day before the event.
        ("2027-01-06T09:00", "2027-02-06T15:30", "2027-02-03T08:00", (14, 1), ("2027-01-23", "2027-02-02")),
        # Ten days away: the day of 14 and that of 60 are over, so today.
        ("2027-01-06T09:00", "2027-01-16T15:30", None, (60, 14), ("2027-01-06", "2027-01-06")),
        # Tomorrow and today: today.
        ("2027-01-06T09:00", "2027-01-07T15:30", None, (14,), ("2027-01-06",)),
        ("2027-01-06T09:00", "2027-01-06T15:30", None, (0,), ("2027-01-06",)),
    ],
)
def test_payments_are_due_before_the_event_and_the_work(
    now: str, event: str, begins: str | None, days: tuple[int, ...], due: tuple[str, ...]
) -> None:
    ahead = Ahead(ny(now), ny(event), ny(begins) if begins else None)
    found = compute_dates(ahead, replace(Usual(14, 10, 7), payments=days))
    assert tuple(day.isoformat() for day in found.payments_on) == due
    shown = {one.usual: one.day for one in found.shortened if one.term == Term.PAYMENT}
    wanted = {each: ahead.event_day - timedelta(days=each) for each in days}
    assert shown == {each: day for each, day in zip(days, found.payments_on, strict=True) if day != wanted[each]}


def test_the_deposit_is_due_with_the_first_payment_at_the_latest() -> None:
    # Valid until January 16; 16 + 7 = 23, but the payment is due on the 12th.
    found = compute_dates(
        Ahead(ny("2027-01-06T09:00"), ny("2027-01-26T15:30")), replace(Usual(14, 10, 7), payments=(14,))
    )
    assert (found.payments_on, found.deposit_latest_on) == ((date(2027, 1, 12),), date(2027, 1, 12))
    due = deposit_due(approved_on=date(2027, 1, 10), days=7, latest_on=found.deposit_latest_on)
    assert due == date(2027, 1, 12)


def test_a_schedule_is_stored_with_what_is_due_first_first() -> None:
    given = rows((14, None), (60, "0.4"), (30, 5_000))
    assert payments_stored(given) == [
        {"days": 60, "share": "0.4"},
        {"days": 30, "amount_minor": 5_000},
        {"days": 14},
    ]
    assert payments_read(payments_stored(given)) == (given[1], given[2], given[0])
    assert payments_read(None) == ()
