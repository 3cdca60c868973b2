"""Running sums are what the documents and payments add up to, whatever happened in whatever order."""

from datetime import date, timedelta
from io import StringIO
from random import Random
from typing import Any

import pytest
from django.core.management import CommandError, call_command

from orders.invoices.models import Invoice, IssuedMonth, OrderAccount
from orders.invoices.payments import payment_reverse
from orders.invoices.running_sums import sums_rewrite, sums_wrong
from orders.invoices.services import invoice_draft, invoice_issue
from orders.orders.models import Order
from orders.records.errors import OrderError
from orders.records.money import minor_units
from orders.register.filters import RegisterFilter, register
from orders.register.selectors import register_rows
from orders.register.totals import register_totals
from tests.factories import BY
from tests.integration.orders.builders import LATER, credit, invoice_make, order_make, pay

pytestmark = pytest.mark.django_db
RIGHT: dict[str, list[tuple[Any, ...]]] = {"IssuedMonth": [], "IssuedMonthTax": [], "OrderAccount": []}


def something_happens(rng: Random, orders: list[Order], step: int) -> None:
    """One thing an owner or a bookkeeper does, at a later moment each time; a refusal changes nothing."""
    order, at = rng.choice(orders), LATER + timedelta(days=11 * step)
    deed = rng.choice(("draft", "issue", "credit", "part", "pay", "refund", "reverse", "issue", "pay"))
    invoice = Invoice.objects.filter(order=order, kind="380").exclude(status="draft").order_by("pk").last()
    try:
        if deed == "draft":
            invoice_draft(order_id=order.pk, by=BY, at=at)
        elif deed == "issue":
            invoice_make(order, at=at)
        elif deed == "credit" and invoice:
            credit(invoice, at=at)
        elif deed == "part" and invoice:
            credit(invoice, {invoice.lines.all()[0].pk: rng.randint(1, 900)}, at=at)
        elif deed == "reverse":
            payment_reverse(payment_id=rng.choice(list(order.payments.all())).pk, note="", by=BY, at=at)
        else:
            pay(order, rng.randint(1, 90_000), "refund" if deed == "refund" else "payment", at=at)
    except (OrderError, IndexError):
        assert sums_wrong() == RIGHT


def plain_totals(chosen: RegisterFilter, today: date) -> list[tuple[Any, ...]]:
    """The totals as somebody adds them up row by row."""
    rows = list(register_rows(register(chosen, today=today), standing=True))
    found = []
    for currency in sorted({row.currency for row in rows}):
        own = [row for row in rows if row.currency == currency]
        taxes: dict[Any, list[int]] = {}
        for row in own:
            for key, pair in row.taxes.items():
                sums = taxes.setdefault(key, [0, 0])
                sums[:] = [before + minor_units(amount) for before, amount in zip(sums, pair, strict=True)]
        figures = [sum(minor_units(getattr(row, name)) for row in own) for name in ("net", "tax", "total")]
        notes = sum(row.kind == "381" for row in own)
        waiting = sum(minor_units(row.open) for row in own if row.open and row.status in ("issued", "part_paid"))
        found.append((currency, len(own) - notes, notes, *figures, waiting, sorted(taxes.items())))
    return found


def shown_totals(chosen: RegisterFilter, today: date) -> list[tuple[Any, ...]]:
    return [
        (
            sums.currency,
            sums.invoices,
            sums.notes,
            *map(minor_units, (sums.net, sums.tax, sums.total, sums.open)),
            [((one.name, one.rate), [minor_units(one.taxable), minor_units(one.tax)]) for one in sums.taxes],
        )
        for sums in register_totals(chosen, today=today)
    ]


@pytest.mark.parametrize("seed", range(3))
def test_whatever_happens_the_sums_are_right_and_so_are_the_totals_of_every_filter(seed: int) -> None:
    rng, orders = Random(seed), [order_make() for _ in range(3)]
    for step in range(18):
        something_happens(rng, orders, step)
    assert sums_wrong() == RIGHT
    assert IssuedMonth.objects.count() > 1
    begin = LATER.date() - timedelta(days=40)
    for _ in range(40):
        first = begin + timedelta(days=rng.randint(0, 260))
        last = first + timedelta(days=rng.choice((0, 9, 27, 30, 31, 60, 90, 200)))
        if rng.random() < 0.3:
            first = first.replace(day=1)
        chosen = RegisterFilter(
            kind=rng.choice(("", "380", "381")),
            standing=rng.choice(("", "", "open", "overdue", "paid")),
            first=rng.choice((first, None)),
            last=rng.choice((last, None)),
            find=rng.choice(("", "", "", "fen", "I-00001", "2")),
            exported=rng.choice(("", "", "no")),
        )
        today = begin + timedelta(days=rng.randint(30, 300))
        assert shown_totals(chosen, today) == plain_totals(chosen, today), chosen


def test_a_form_sent_twice_counts_once() -> None:
    order = order_make()
    for _ in range(2):
        pay(order, 700, idempotency_key="k" * 32)
    assert OrderAccount.objects.get().received_minor == 700


def test_a_rollback_takes_the_sums_along() -> None:
    draft = invoice_draft(order_id=order_make().pk, by=BY, at=LATER)
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr("orders.invoices.services.pdf_ask", lambda **_: 1 / 0)
        with pytest.raises(ZeroDivisionError):
            invoice_issue(invoice_id=draft.pk, by=BY, at=LATER)
    assert not IssuedMonth.objects.exists()
    assert sums_wrong() == RIGHT


def test_the_command_names_what_is_wrong_and_writes_it_anew() -> None:
    pay(order_make(), 500)
    invoice = invoice_make(order_make())
    assert invoice.issued_on is not None
    OrderAccount.objects.filter(order=invoice.order).update(asked_minor=1)
    IssuedMonth.objects.all().delete()
    month = invoice.issued_on.replace(day=1)
    assert sums_wrong() == {
        "IssuedMonth": [(month, "USD", "380")],
        "IssuedMonthTax": [],
        "OrderAccount": [(invoice.order_id, "USD")],
    }
    with pytest.raises(CommandError, match="2 sums are wrong"):
        call_command("running_sums")
    output = StringIO()
    call_command("running_sums", "--write", stdout=output)
    assert "Every sum is what the documents add up to." in output.getvalue()
    sums_rewrite()
    assert sums_wrong() == RIGHT
