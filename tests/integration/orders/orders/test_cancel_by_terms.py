"""An order is canceled by the table of its terms: what is retained, what goes back, and the documents that follow."""

from datetime import date, datetime, timedelta
from decimal import Decimal
from typing import Any
from zoneinfo import ZoneInfo

import pytest
from django.contrib.auth.models import User
from django.db import IntegrityError, transaction
from django.test import Client
from django.urls import reverse
from hypothesis import given
from hypothesis import strategies as st

from catalog.kitchen.cancellation import RetainedRow
from catalog.kitchen.models import Kitchen
from catalog.outbox.models import Outbox
from catalog.taxes.models import TaxCategory
from orders.invoices.models import Invoice
from orders.invoices.order_money import OrderMoney, order_money
from orders.invoices.receivables import charges_waiting, credits_held, refunds_due
from orders.invoices.services import invoice_discard, invoice_draft, invoice_issue
from orders.orders.cancel_presenters import canceled_sentences
from orders.orders.cancel_services import Decision, order_cancel_by_terms
from orders.orders.canceling import Canceling, canceling
from orders.orders.models import Order
from orders.orders.next_step import Do, Roles
from orders.orders.selectors import order_page
from orders.orders.services import order_cancel
from orders.quotes.terms.retained import retained_minor
from orders.records.cancel_errors import (
    CancelingChanged,
    ChargeTaxMissing,
    LessWithoutReason,
    NoCancellationTable,
    RetainsTooMuch,
)
from orders.records.errors import CanceledOrder, TransitionNotAllowed
from orders.records.models import AuditEntry
from orders.records.states import InvoiceStatus, OrderStatus
from tests.factories import BY, kitchen_make
from tests.integration.forms_on_pages import forms_of
from tests.integration.orders.amending import amend
from tests.integration.orders.builders import LATER, credit, invoice_make, order_make, pay
from tests.integration.orders.private_link import entered
from tests.starting import order_start

pytestmark = pytest.mark.django_db
TABLE = [{"days": 30, "share": "0.1"}, {"days": 14, "share": "0.3"}, {"days": 3, "share": "1"}]
#: The event of the builders' orders begins on February 6, 2027, in New York.
ZONE = ZoneInfo("America/New_York")


@pytest.fixture(autouse=True)
def kitchen(db: None) -> Kitchen:
    """A kitchen with a table, and an untaxed category for what it retains."""
    kitchen_make()
    return with_table()


def with_table() -> Kitchen:
    """Give the kitchen a table, and an untaxed category for what it retains."""
    Kitchen.objects.update(cancellation_table=TABLE)
    tax = TaxCategory.objects.create(code="charge", name="Cancellation", untdid="O", position=7)
    tax.rates.create(rate=Decimal(0), starts=date(2020, 1, 1))
    Kitchen.objects.update(cancellation_tax=tax)
    return Kitchen.objects.get()


def day(month: int, number: int, hour: int = 12, minute: int = 0, year: int = 2027) -> datetime:
    return datetime(year, month, number, hour, minute, tzinfo=ZONE)


NEAR = day(1, 28)


def cancel(order: Order, *, at: datetime = NEAR, by: str = "customer", **facts: Any) -> Order:
    decision = Decision(**{"by": by, "reason": "They moved away.", **facts})
    return order_cancel_by_terms(order_id=order.pk, decision=decision, by=BY, at=at)


def step(order: Order, *, at: datetime = NEAR, **roles: bool) -> Any:
    order = Order.objects.select_related("quote__inquiry__customer", "customer").get(pk=order.pk)
    return order_page(order, roles=Roles(makes=True, money=True, owner=True), marks=(), at=at).next


@pytest.mark.parametrize(
    ("moment", "days", "share"),
    [
        (day(1, 6), 31, None),
        (day(1, 7, 0, 0), 30, "0.1"),
        (day(1, 6, 23, 59), 31, None),
        (day(1, 22), 15, "0.1"),
        (day(1, 23), 14, "0.3"),
        (day(2, 2), 4, "0.3"),
        (day(2, 3), 3, "1"),
        (day(2, 5), 1, "1"),
        (day(2, 6, 23, 0), 0, "1"),
        (day(2, 8), -2, "1"),
    ],
)
def test_the_row_of_the_day_in_the_kitchens_zone_applies(moment: datetime, days: int, share: str | None) -> None:
    order = order_make()
    found = canceling(order, at=moment)
    assert found is not None
    assert found.days_before == days
    assert (None if found.row is None else str(found.row.share)) == share


def test_what_is_retained_is_drafted_as_a_charge_with_its_own_tax_and_the_rest_goes_back() -> None:
    order = order_make()
    pay(order, 80000, "deposit", at=LATER - timedelta(days=15))
    canceled = cancel(order, goods=[("Raspberries", 4000), ("Two hours of baking", 0)])
    most = round(order.total_minor * Decimal("0.3"))
    assert (canceled.status, canceled.retained_minor, canceled.canceled_by) == (OrderStatus.CANCELED, most, "customer")
    charge = Invoice.objects.get(order=order)
    assert (charge.status, charge.charges_cancellation, charge.total_minor, charge.tax_minor) == (
        InvoiceStatus.DRAFT,
        True,
        most,
        0,
    )
    line = charge.lines.get()
    assert (line.name, line.tax_code, line.untdid) == (f"Cancellation charge, order {order.number}", "charge", "O")
    assert "9 days before the event of Saturday, February 6, 2027" in charge.note
    assert "30% of the total of $1,958.76 is charged." in charge.note
    assert "Raspberries: $40.00\nTwo hours of baking" in charge.note
    money = order_money(canceled)
    assert (money.credit, money.balance) == (80000 - most, most - 80000)
    assert step(order).do == Do.ISSUE
    assert [one.pk for one in charges_waiting()] == [order.pk]
    assert [(one.order.pk, int(one.amount.amount * 100)) for one in refunds_due()] == [(order.pk, 80000 - most)]

    issued = invoice_issue(invoice_id=charge.pk, by=BY, at=NEAR)
    assert (issued.total_minor, issued.prepaid_minor, issued.status) == (most, 80000, InvoiceStatus.PAID)
    assert order_money(canceled).credit == 80000 - most
    assert (step(order).do, step(order).amount) == (Do.REFUND, 80000 - most)
    assert not charges_waiting()
    pay(order, 80000 - most, "refund", at=NEAR)
    assert step(order).do == Do.NOTHING
    assert order_money(canceled).balance == 0
    assert credits_held() == []


def test_of_less_paid_than_is_retained_the_rest_is_owed() -> None:
    order = order_make()
    pay(order, 10000, "deposit", at=LATER - timedelta(days=15))
    canceled = cancel(order)
    assert canceled.canceled_money == "refund"
    assert order_money(canceled).balance == canceled.retained_minor - 10000
    issued = invoice_issue(invoice_id=Invoice.objects.get().pk, by=BY, at=NEAR)
    assert issued.due_minor == canceled.retained_minor - 10000
    assert step(order).do == Do.PAYMENT
    assert refunds_due() == []


def test_a_taxed_charge_is_just_what_is_retained_tax_included() -> None:
    taxed = TaxCategory.objects.get(code="standard") if TaxCategory.objects.filter(code="standard") else None
    taxed = taxed or TaxCategory.objects.exclude(code="charge").first()
    order = order_make()
    canceled = cancel(order, tax_id=taxed.pk)
    charge = Invoice.objects.get()
    assert charge.prices == ("gross" if charge.tax_minor else "net")
    assert charge.total_minor == canceled.retained_minor == charge.net_minor + charge.tax_minor


def test_the_kitchens_own_cancellation_gives_everything_back() -> None:
    order = order_make()
    pay(order, 80000, "deposit", at=LATER - timedelta(days=15))
    canceled = cancel(order, by="kitchen", goods=[("Raspberries", 4000)])
    assert (canceled.retained_minor, canceled.canceled_money, canceled.canceled_terms["goods"]) == (0, "refund", [])
    assert not Invoice.objects.exists()
    assert (step(order).do, step(order).amount) == (Do.REFUND, 80000)
    with pytest.raises(CanceledOrder):
        invoice_draft(order_id=order.pk, by=BY, at=NEAR)
    assert canceled_sentences(canceled, order_money(canceled)) == [
        "We canceled it, so nothing is charged.",
        "You paid $800.00.",
        "We pay $800.00 back to you.",
    ]


def test_less_needs_a_reason_and_more_is_refused() -> None:
    order = order_make()
    most = canceling(order, at=NEAR).most_minor
    for amount in (most + 1, -1):
        with pytest.raises(RetainsTooMuch):
            cancel(order, retained_minor=amount)
    with pytest.raises(LessWithoutReason):
        cancel(order, retained_minor=most - 1)
    canceled = cancel(order, retained_minor=5000, retained_reason="Old customers.")
    assert (canceled.retained_minor, canceled.retained_reason) == (5000, "Old customers.")
    assert Invoice.objects.get().total_minor == 5000
    assert "less than the $587.63 of the terms" in canceled_sentences(canceled, order_money(canceled))[0]


def test_nothing_retained_needs_no_tax_and_something_does() -> None:
    Kitchen.objects.update(cancellation_tax=None)
    order = order_make()
    with pytest.raises(ChargeTaxMissing):
        cancel(order)
    canceled = cancel(order, at=day(1, 5))
    assert (canceled.retained_minor, canceled.canceled_terms["tax"]) == (0, None)


def test_an_issued_invoice_is_credited_first_and_then_the_charge_is_invoiced() -> None:
    order = order_make()
    pay(order, 80000, "deposit", at=LATER - timedelta(days=15))
    invoice = invoice_make(order, at=NEAR - timedelta(days=1))
    canceled = cancel(order)
    assert Invoice.objects.count() == 1
    money = order_money(canceled)
    assert money.balance == canceled.retained_minor - 80000
    assert (step(order).do, step(order).document) == (Do.CREDIT, invoice)
    credit(invoice, at=NEAR)
    assert step(order).do == Do.INVOICE
    charge = invoice_draft(order_id=order.pk, by=BY, at=NEAR)
    issued = invoice_issue(invoice_id=charge.pk, by=BY, at=NEAR)
    assert (issued.total_minor, issued.prepaid_minor) == (canceled.retained_minor, 80000)
    assert (step(order).do, step(order).amount) == (Do.REFUND, 80000 - canceled.retained_minor)


def test_a_draft_of_the_orders_invoice_goes_and_a_discarded_charge_can_be_drafted_again() -> None:
    order = order_make()
    draft = invoice_draft(order_id=order.pk, by=BY, at=NEAR)
    cancel(order)
    charge = Invoice.objects.get()
    assert charge.pk != draft.pk
    invoice_discard(invoice_id=charge.pk, by=BY, at=NEAR)
    assert step(order).do == Do.INVOICE
    again = invoice_draft(order_id=order.pk, by=BY, at=NEAR)
    assert again.charges_cancellation
    invoice_issue(invoice_id=again.pk, by=BY, at=NEAR)
    credit(Invoice.objects.get(), at=NEAR)
    # What was charged and given back is not charged again.
    with pytest.raises(CanceledOrder):
        invoice_draft(order_id=order.pk, by=BY, at=NEAR)


def test_what_was_shown_and_is_no_longer_so_is_not_decided_by() -> None:
    order = order_make()
    seen = canceling(order, at=day(2, 2, 23, 59)).mark
    with pytest.raises(CancelingChanged):
        cancel(order, at=day(2, 3, 0, 1), seen=seen)
    pay(order, 10000, "deposit", at=LATER)
    with pytest.raises(CancelingChanged):
        cancel(order, at=day(2, 2), seen=seen)
    assert Order.objects.get().status == OrderStatus.CONFIRMED


def test_a_change_takes_its_terms_along_and_its_total_counts() -> None:
    order = order_make()
    Kitchen.objects.update(cancellation_table=[])
    before = canceling(order, at=NEAR)
    changed = amend(order, {"quince-square": 96}, at=NEAR - timedelta(days=8))
    found = canceling(Order.objects.select_related("quote").get(pk=changed.pk), at=NEAR)
    assert found.rows == before.rows
    assert found.most_minor != before.most_minor
    assert found.mark != before.mark


def test_an_order_without_a_table_is_canceled_as_before_and_one_with_it_only_by_it() -> None:
    order = order_make()
    with pytest.raises(NoCancellationTable):
        order_cancel(order_id=order.pk, reason="Rain", by=BY, at=NEAR)
    Kitchen.objects.update(cancellation_table=[])
    plain = order_make()
    assert canceling(plain, at=NEAR) is None
    with pytest.raises(NoCancellationTable):
        cancel(plain)
    pay(plain, 10000, "deposit", at=LATER)
    canceled = order_cancel(order_id=plain.pk, reason="Rain", money="keep", by=BY, at=NEAR)
    assert (canceled.canceled_money, canceled.retained_minor, canceled.canceled_by) == ("keep", None, "")
    assert invoice_draft(order_id=plain.pk, by=BY, at=NEAR).total_minor == plain.total_minor
    assert not Outbox.objects.filter(payload__mail="canceled").exists()


@pytest.mark.parametrize("begin", [False, True])
def test_only_an_order_ahead_is_canceled_and_once(begin: bool) -> None:
    order = order_make()
    if begin:
        order_start(order_id=order.pk, by=BY, at=NEAR)
    cancel(order)
    with pytest.raises(TransitionNotAllowed):
        cancel(order)
    entry = AuditEntry.objects.get(document="order", document_pk=order.pk, event="cancel")
    assert entry.params["retained_minor"] == Order.objects.get().retained_minor


def test_what_was_recorded_stays() -> None:
    order = order_make()
    cancel(order)
    for change in ({"retained_minor": 1}, {"canceled_by": "kitchen"}, {"canceled_terms": None}):
        with pytest.raises(IntegrityError), transaction.atomic():
            Order.objects.filter(pk=order.pk).update(**change)


@given(
    share=st.decimals(min_value=0, max_value=1, places=3),
    total=st.integers(min_value=0, max_value=10**9),
    paid=st.integers(min_value=0, max_value=10**9),
    less=st.fractions(min_value=0, max_value=1),
)
def test_what_is_retained_and_goes_back_is_what_was_paid_and_is_owed(
    share: Decimal, total: int, paid: int, less: Any
) -> None:
    row, today = RetainedRow(3, share), date(2027, 2, 5)
    most = retained_minor(total, row)
    found = Canceling((row,), date(2027, 2, 6), today, row, total, most, paid, "")
    retained = int(most * less)
    assert 0 <= retained <= most <= total
    assert retained + found.back(retained) == paid + found.owed(retained)
    money = OrderMoney(total, 0, paid, 0, 0, 0, retained)
    assert (money.credit, max(0, money.balance)) == (found.back(retained), found.owed(retained))


class TestPages:
    """The owner's form and the customer's page."""

    @pytest.fixture(autouse=True)
    def today(self, owner: Client, monkeypatch: pytest.MonkeyPatch) -> None:
        if not TaxCategory.objects.filter(code="charge"):
            with_table()
        monkeypatch.setattr("django.utils.timezone.now", lambda: NEAR)
        owner.force_login(User.objects.get())

    def test_the_form_shows_the_row_and_what_follows(self, owner: Client) -> None:
        order = order_make()
        pay(order, 80000, "deposit", at=LATER)
        on_order = owner.get(reverse("order", args=[order.pk])).content.decode()
        assert "If the customer cancels:" in on_order
        page = owner.get(reverse("order-cancel", args=[order.pk])).content.decode()
        assert "It is 9 days before the event. By the terms: 30% of the total is charged ($587.63)." in page
        assert "$212.37 goes back to the customer." in page

    def test_it_is_canceled_with_what_was_entered(self, owner: Client) -> None:
        order = order_make()
        address = reverse("order-cancel", args=[order.pk])
        form = next(one for one in forms_of(owner.get(address)) if "seen" in one.fields)
        tax = str(TaxCategory.objects.get(code="charge").pk)
        entries = {"reason": "Moved", "tax": tax, "goods-0-name": "Berries", "goods-0-amount": "40"}
        asked = owner.post(address, form.data(**entries)).content.decode()
        assert "Choose who cancels." in asked
        assert "Berries" in asked
        more = owner.post(address, form.data(**entries, who="customer", retained="900")).content.decode()
        assert "The terms allow at most $587.63 today. Enter that or less." in more
        assert owner.post(address, form.data(**entries, who="customer")).status_code == 302
        order.refresh_from_db()
        assert (order.retained_minor, order.canceled_terms["goods"]) == (
            58763,
            [{"name": "Berries", "amount_minor": 4000}],
        )
        page = owner.get(reverse("order", args=[order.pk])).content.decode()
        assert "Canceled by the customer: $587.63 is charged, as the terms say." in page
        assert "Check and issue the cancellation charge: $587.63" in page
        charge = Invoice.objects.get(order=order)
        assert "Berries: $40.00" in owner.get(reverse("invoice", args=[charge.pk])).content.decode()
        assert "charge $587.63" in owner.get(reverse("money-due")).content.decode()

    def test_a_payment_meanwhile_is_shown_before_it_is_canceled(self, owner: Client) -> None:
        order = order_make()
        address = reverse("order-cancel", args=[order.pk])
        form = next(one for one in forms_of(owner.get(address)) if "seen" in one.fields)
        tax = str(TaxCategory.objects.get(code="charge").pk)
        pay(order, 80000, "deposit", at=LATER)
        entries = form.data(reason="Moved", who="customer", tax=tax)
        page = owner.post(address, entries)
        assert "changed since this page was opened" in page.content.decode()
        assert "$212.37 goes back to the customer." in page.content.decode()
        again = next(one for one in forms_of(page) if "seen" in one.fields)
        assert owner.post(address, again.data()).status_code == 302
        assert Order.objects.get(pk=order.pk).retained_minor == 58763

    def test_the_customers_page_and_mail_say_what_is_charged_and_goes_back(self, owner: Client) -> None:
        order = order_make()
        pay(order, 80000, "deposit", at=LATER)
        cancel(order, tax_id=TaxCategory.objects.get(code="charge").pk)
        page = entered(Client(), order.quote).get(reverse("quote-page", args=[order.quote_id])).content.decode()
        words = (
            "By the terms you approved, the cancellation charge is 30% of the total: $587.63. You paid $800.00. We pay"
            " $212.37 back to you."
        )
        assert words in page
        assert Outbox.objects.filter(payload__mail="canceled", about=f"quote:{order.quote_id}").count() == 1
