"""An invoice in several payments against tables made by hand: days, amounts, and what of each is open."""

from datetime import date
from decimal import Decimal
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from catalog.kitchen.payment_schedule import PaymentRow, after_invoice, after_read, after_stored
from orders.invoices.models import Invoice, InvoicePart
from orders.invoices.parts import all_parts, next_part_on, open_parts, parts_due

HALF = PaymentRow(14, Decimal("0.5"))
THIRDS = (PaymentRow(0, Decimal("0.3333333")), PaymentRow(30, Decimal("0.3333333")))


class Terms:
    """What of a content says when the balance is due."""

    def __init__(self, rows: Any, balance_days: int) -> None:
        self.payments_after, self.balance_days = tuple(rows), balance_days


@pytest.mark.parametrize(
    ("on", "rows", "last", "due", "expected"),
    [
        # One payment, as before: the leap day counts.
        ("2028-02-27", (), 7, 1000, [("2028-03-05", 1000)]),
        ("2027-02-27", (), 7, 1000, [("2027-03-06", 1000)]),
        # Half after 14 days, the rest after 45; an odd cent is in the first, which is rounded half up.
        ("2027-06-05", (HALF,), 45, 100_001, [("2027-06-19", 50_001), ("2027-07-20", 50_000)]),
        # Across the leap day.
        ("2028-02-16", (HALF,), 45, 900, [("2028-03-01", 450), ("2028-04-01", 450)]),
        ("2027-02-16", (HALF,), 45, 900, [("2027-03-02", 450), ("2027-04-02", 450)]),
        # Days are counted in dates, whatever clocks do on March 14 and November 7.
        ("2027-03-10", (PaymentRow(4, Decimal("0.5")),), 5, 10, [("2027-03-14", 5), ("2027-03-15", 5)]),
        ("2027-11-03", (PaymentRow(4, Decimal("0.5")),), 5, 10, [("2027-11-07", 5), ("2027-11-08", 5)]),
        # With the invoice, after 30 days and after 60: thirds to the cent.
        ("2027-01-31", THIRDS, 60, 100_000, [("2027-01-31", 33_333), ("2027-03-02", 33_334), ("2027-04-01", 33_333)]),
        # An amount that is more than what is left takes it, and nothing is due later.
        ("2027-01-01", (PaymentRow(3, None, 5000),), 9, 4000, [("2027-01-04", 4000)]),
        ("2027-01-01", (PaymentRow(3, None, 5000),), 9, 5001, [("2027-01-04", 5000), ("2027-01-10", 1)]),
        # A cent cannot be halved; nothing that is due is one payment of nothing.
        ("2027-01-01", (HALF,), 45, 1, [("2027-01-15", 1)]),
        ("2027-01-01", (HALF,), 45, 0, [("2027-02-15", 0)]),
        ("2027-01-01", (HALF,), 45, -300, [("2027-02-15", 0)]),
    ],
)
def test_days_and_amounts_are_as_on_paper(on: str, rows: Any, last: int, due: int, expected: Any) -> None:
    found = parts_due(due_minor=due, on=date.fromisoformat(on), content=Terms(rows, last))  # type: ignore[arg-type]
    assert [(day.isoformat(), amount) for day, amount in found] == expected


def invoice(*parts: tuple[int, int], paid: int = 0, credited: int = 0) -> Any:
    """Return an invoice that is due on these days of June, not saved, with what was paid and credited."""
    rows = [InvoicePart(position=i, due_on=date(2027, 6, day), amount_minor=one) for i, (day, one) in enumerate(parts)]
    made = Invoice(pk=1, due_minor=sum(one for _, one in parts), due_on=rows[0].due_on)
    if len(rows) > 1:
        made.next_on = rows[0].due_on
    made._prefetched_objects_cache = {"parts": rows}  # type: ignore[attr-defined]
    made.paid, made.credited = paid, credited  # type: ignore[attr-defined]
    return made


@pytest.mark.parametrize(
    ("paid", "credited", "opens", "upcoming"),
    [
        (0, 0, [(5, 400), (20, 300), (30, 300)], 5),
        (399, 0, [(5, 1), (20, 300), (30, 300)], 5),
        (400, 0, [(20, 300), (30, 300)], 20),
        (650, 0, [(20, 50), (30, 300)], 20),
        (1000, 0, [], 30),
        (1200, 0, [], 30),
        # What is credited cuts the last, and then the one before it.
        (0, 300, [(5, 400), (20, 300)], 5),
        (0, 450, [(5, 400), (20, 150)], 5),
        (500, 450, [(20, 50)], 20),
        (400, 600, [], 30),
        # What was paid before the invoice and reversed is owed with the first.
        (-250, 0, [(5, 650), (20, 300), (30, 300)], 5),
    ],
)
def test_payments_fill_the_first_and_credits_cut_the_last(
    paid: int, credited: int, opens: list[tuple[int, int]], upcoming: int
) -> None:
    made = invoice((5, 400), (20, 300), (30, 300), paid=paid, credited=credited)
    assert [(one.due_on.day, one.open) for one in open_parts(made)] == opens
    assert next_part_on(made, paid=paid, credited=credited) == date(2027, 6, upcoming)


def test_an_invoice_of_one_day_is_one_payment() -> None:
    made = invoice((5, 400), paid=100)
    assert [(one.due_on.day, one.amount, one.open) for one in open_parts(made)] == [(5, 400, 300)]
    assert (all_parts(made), next_part_on(made, paid=0, credited=0)) == ([], None)


@given(
    amounts=st.lists(st.integers(1, 10_000), min_size=1, max_size=6),
    paid=st.integers(-5_000, 80_000),
    credited=st.integers(0, 80_000),
)
def test_what_is_open_of_the_payments_is_what_is_open_of_the_invoice(
    amounts: list[int], paid: int, credited: int
) -> None:
    made = invoice(*((day, one) for day, one in enumerate(amounts, start=1)), paid=paid, credited=credited)
    assert sum(one.open for one in open_parts(made)) == max(0, sum(amounts) - paid - credited)


@given(
    due=st.integers(1, 10**8),
    shares=st.lists(st.integers(1, 100), min_size=1, max_size=5),
    days=st.lists(st.integers(0, 40), min_size=5, max_size=5, unique=True),
)
def test_the_payments_are_all_of_what_is_due(due: int, shares: list[int], days: list[int]) -> None:
    rows = [PaymentRow(day, Decimal(one) / 600) for day, one in zip(sorted(days), shares, strict=False)]
    found = after_invoice(due, rows, last_days=41)
    assert sum(one.amount_minor for one in found) == due
    assert [one.days for one in found] == sorted({one.days for one in found})
    assert all(one.amount_minor > 0 for one in found)


def test_what_divides_the_balance_is_stored_what_is_due_first_first() -> None:
    rows = (PaymentRow(0, None, 500), PaymentRow(14, Decimal("0.5")))
    assert after_stored(reversed(rows)) == [{"days": 0, "amount_minor": 500}, {"days": 14, "share": "0.5"}]
    assert after_read(after_stored(rows)) == rows
