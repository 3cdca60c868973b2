"""The one next thing to do about an order, for each role, and the words it is given."""

import re
from datetime import datetime, timedelta

import pytest
from django.test import Client
from django.urls import reverse

from catalog.book.revision import catalog_changed
from catalog.pantry.models import Ingredient
from orders.invoices.services import invoice_draft
from orders.orders.models import Order
from orders.orders.next_presenters import NextShown, next_shown
from orders.orders.next_step import Do, NextStep, Roles
from orders.orders.selectors import OrderPage, order_page
from orders.orders.services import order_cancel, order_close, order_deliver
from tests.factories import BY, EVENT
from tests.integration.catalog.kitchen_pages import signed_in, text
from tests.integration.orders.builders import LATER, YES, credit, invoice_make, order_make, pay
from tests.starting import order_start

pytestmark = pytest.mark.django_db
OWNER = Roles(makes=True, money=True, owner=True)
KITCHEN, BOOKS = Roles(makes=True), Roles(money=True)


def page_of(order: Order, roles: Roles = OWNER, at: datetime = YES) -> OrderPage:
    return order_page(Order.objects.get(pk=order.pk), roles=roles, marks=(), at=at)


def do(order: Order, roles: Roles = OWNER, at: datetime = YES) -> Do:
    return page_of(order, roles, at).next.do


def test_a_deposit_is_asked_for_first_and_is_late_after_its_day() -> None:
    order = order_make()
    assert order.deposit_due_on is not None
    step = page_of(order).next
    assert (step.do, step.amount, step.due_on, step.late) == (
        Do.DEPOSIT, order.deposit_minor, order.deposit_due_on, False
    )  # fmt: skip
    after = datetime.combine(order.deposit_due_on + timedelta(days=1), EVENT.timetz())
    assert page_of(order, at=after).next.late
    pay(order, order.deposit_minor - 1, "deposit")
    assert page_of(order).next.amount == 1
    pay(order, 1, "deposit")
    assert do(order) == Do.START


def test_production_comes_before_a_deposit_on_the_day_before_its_latest_start() -> None:
    order = order_make()
    begin = page_of(order, KITCHEN).next.by
    assert begin is not None
    assert begin < order.window_start
    assert do(order, at=begin - timedelta(days=2)) == Do.DEPOSIT
    assert do(order, at=begin - timedelta(hours=20)) == Do.START
    late = page_of(order, at=begin + timedelta(minutes=1)).next
    assert (late.do, late.late) == (Do.START, True)


def test_a_begun_order_is_handed_over_and_so_is_one_that_leaves_without_having_been_begun() -> None:
    order, forgotten = order_make(), order_make()
    order_start(order_id=order.pk, by=BY, at=LATER)
    assert do(order, KITCHEN) == Do.HAND_OVER
    assert do(order, at=EVENT - timedelta(hours=6)) == Do.HAND_OVER
    assert do(forgotten, at=EVENT) == Do.HAND_OVER
    assert page_of(forgotten, at=EVENT + timedelta(days=1)).next.late


def test_a_begun_order_asks_for_its_deposit_until_the_day_on_which_it_leaves() -> None:
    order = order_make()
    order_start(order_id=order.pk, by=BY, at=LATER)
    assert order.deposit_due_on is not None
    overdue = datetime.combine(order.deposit_due_on + timedelta(days=1), EVENT.timetz())
    assert overdue.date() < EVENT.date()
    step = page_of(order, at=overdue).next
    assert (step.do, step.late) == (Do.DEPOSIT, True)
    assert do(order, at=EVENT - timedelta(hours=6)) == Do.HAND_OVER
    pay(order, order.deposit_minor, "deposit")
    assert do(order, at=overdue) == Do.HAND_OVER


def test_who_does_not_make_it_reads_when_production_starts_or_should_have_and_is_not_late() -> None:
    order = order_make()
    pay(order, order.deposit_minor, "deposit")
    begin = page_of(order, KITCHEN).next.by
    assert begin is not None

    def shown(at: datetime) -> NextShown:
        page = page_of(order, BOOKS, at)
        return next_shown(page.next, order, page.content, at=at)

    assert shown(begin - timedelta(days=1)).sentence.startswith("Production starts by ")
    late = shown(begin + timedelta(days=1))
    assert (late.do, late.late) == (Do.WAIT, False)
    assert late.sentence.startswith("Production should have started ")
    order_start(order_id=order.pk, by=BY, at=LATER)
    assert shown(begin + timedelta(days=1)).sentence == ""


def test_money_without_a_last_day_has_no_gap_before_its_colon() -> None:
    order = order_make()
    content = page_of(order).content
    for what, title in ((Do.DEPOSIT, "Deposit due: "), (Do.PAYMENT, "Payment due: ")):
        assert next_shown(NextStep(what, amount=500), order, content, at=YES).title.startswith(title)


def test_money_is_settled_step_by_step_after_the_hand_over() -> None:
    order = order_make()
    order_deliver(order_id=order.pk, by=BY, at=LATER)
    assert (do(order), do(order, BOOKS), do(order, KITCHEN)) == (Do.INVOICE, Do.WAIT, Do.NOTHING)
    draft = invoice_draft(order_id=order.pk, by=BY, at=LATER)
    step = page_of(order).next
    assert (step.do, step.document) == (Do.ISSUE, draft)
    assert do(order, BOOKS) == Do.WAIT
    invoice = invoice_make(order)
    assert invoice.due_on is not None
    step = page_of(order, BOOKS).next
    assert (step.do, step.amount, step.due_on, step.late) == (Do.PAYMENT, invoice.due_minor, invoice.due_on, False)
    overdue = datetime.combine(invoice.due_on + timedelta(days=1), EVENT.timetz())
    assert page_of(order, at=overdue).next.late
    pay(order, invoice.due_minor + 500)
    step = page_of(order).next
    assert (step.do, step.amount) == (Do.REFUND, 500)
    pay(order, 500, "refund")
    assert (do(order), do(order, BOOKS)) == (Do.CLOSE, Do.NOTHING)
    order_close(order_id=order.pk, by=BY, at=LATER)
    assert do(order) == Do.NOTHING


def test_what_is_credited_after_an_order_is_closed_goes_back() -> None:
    """Seen: "Nothing left to do" on an order whose paid invoice was credited in part."""
    order = order_make()
    order_deliver(order_id=order.pk, by=BY, at=LATER)
    invoice = invoice_make(order)
    pay(order, invoice.due_minor)
    order_close(order_id=order.pk, by=BY, at=LATER)
    line = invoice.lines.order_by("pk").first()
    assert line is not None
    credited = credit(invoice, {line.pk: 1_000})
    step = page_of(order, BOOKS).next
    assert (step.do, step.amount) == (Do.REFUND, credited.total_minor)
    assert do(order, KITCHEN) == Do.NOTHING
    pay(order, credited.total_minor, "refund")
    assert do(order) == Do.NOTHING


def test_an_invoice_credited_before_the_hand_over_says_what_is_owed_back_and_that_nothing_is_invoiced() -> None:
    order = order_make()
    pay(order, 59_998, "deposit")
    credit(invoice_make(order))
    step = page_of(order).next
    assert (step.do, step.amount) == (Do.CREDITED, 59_998)
    assert do(order, BOOKS) == Do.CREDITED
    client = signed_in()
    page = text(client.get(reverse("order", args=[order.pk])))
    assert "Refund $599.98 to the customer, or invoice the order again" in page
    assert "Its invoice is credited in full, but the order still stands." in page
    raw = client.get(reverse("order", args=[order.pk])).content.decode()
    assert main_actions(raw) == ["Record refund"]
    assert 'data-label="Status">credited</td>' in raw
    invoice = order.invoices.get(kind="380")
    assert ": credited." in text(client.get(reverse("invoice", args=[invoice.pk])))
    register = client.get(reverse("money-register")).content.decode()
    assert 'data-label="Status">credited</td>' in register
    pay(order, 59_998, "refund")
    assert (page_of(order).next.do, page_of(order).next.amount, do(order, BOOKS)) == (Do.CREDITED, 0, Do.WAIT)
    invoice_make(order)
    assert do(order) == Do.PAYMENT


def test_what_a_credit_leaves_with_the_customer_is_refunded_before_the_hand_over() -> None:
    order = order_make()
    invoice = invoice_make(order)
    pay(order, invoice.total_minor)
    assert do(order) == Do.START
    note = credit(invoice, {invoice.lines.filter(kind="line")[0].pk: 2_000})
    step = page_of(order).next
    assert (step.do, step.amount) == (Do.REFUND, note.total_minor)
    paid = "paid, partly credited"
    assert paid in text(signed_in().get(reverse("invoice", args=[invoice.pk])))


def test_a_delivered_order_whose_invoice_is_credited_is_refunded_or_closed() -> None:
    order = order_make()
    order_deliver(order_id=order.pk, by=BY, at=LATER)
    invoice = invoice_make(order)
    pay(order, invoice.total_minor)
    credit(invoice)
    assert do(order) == Do.CREDITED
    page = signed_in().get(reverse("order", args=[order.pk])).content.decode()
    assert main_actions(page) == ["Record refund"]
    assert page.count("Close order</button>") == page.count("Create invoice</button>") == 1


@pytest.mark.parametrize(
    ("money", "then"), [("refund", Do.REFUND), ("credit", Do.NOTHING), ("keep", Do.INVOICE)]
)  # fmt: skip
def test_what_becomes_of_the_money_decides_what_is_next_of_a_canceled_order(money: str, then: Do) -> None:
    order = order_make()
    pay(order, order.deposit_minor, "deposit")
    order_cancel(order_id=order.pk, reason="Off.", money=money, by=BY, at=LATER)
    assert do(order) == then
    assert do(order, KITCHEN) == Do.NOTHING


def test_new_allergens_come_before_everything_else(monkeypatch: pytest.MonkeyPatch) -> None:
    order = order_make()
    order_start(order_id=order.pk, by=BY, at=LATER)
    Ingredient.objects.filter(code="walnut").update(allergens=["walnuts", "peanuts"])
    catalog_changed()
    assert do(order) == do(order, KITCHEN) == Do.INFORM
    page = signed_in().get(reverse("order", args=[order.pk])).content.decode()
    changed, following = page.index("Changed since the quote was sent."), page.index('id="next"')
    assert changed < following
    assert page.index('id="tell"') > following
    assert main_actions(page) == ["Send an e-mail about it"]


def main_actions(page: str) -> list[str]:
    inside = page.partition("<main")[2].partition("</main>")[0]
    return re.findall(r'<(?:a|button)[^>]*class="main"[^>]*>([^<]*)<', inside)


def test_a_page_has_one_main_action_and_the_cancellation_is_the_last_thing_on_it() -> None:
    order = order_make()
    client = signed_in()

    def page() -> str:
        return client.get(reverse("order", args=[order.pk])).content.decode()

    assert main_actions(page()) == ["Record payment"]
    assert page().partition("</main>")[0].rindex("Cancel order") > page().index("History")
    pay(order, order.deposit_minor, "deposit")
    assert main_actions(page()) == [], "nothing can be made yet"
    assert "What is made earlier would be older than it keeps when the order leaves." in page()
    order_start(order_id=order.pk, by=BY, at=LATER)
    assert main_actions(page()) == ["Record delivery"]
    order_deliver(order_id=order.pk, by=BY, at=LATER)
    assert main_actions(page()) == ["Create invoice"]
    invoice = invoice_make(order)
    assert main_actions(page()) == ["Record payment"]
    pay(order, invoice.due_minor)
    assert main_actions(page()) == ["Close order"]
    order_close(order_id=order.pk, by=BY, at=LATER)
    assert main_actions(page()) == []
    assert "Nothing left to do" in page()


def test_a_reminder_is_written_in_the_readers_own_mail_program(client: Client) -> None:
    order = order_make()
    page = signed_in("bookkeeper").get(reverse("order", args=[order.pk])).content.decode()
    (address,) = re.findall(r'href="(mailto:[^"]*subject[^"]*)"', page)
    assert address.startswith("mailto:ida@fenwick.example?subject=Deposit")
    assert order.number in address
    assert "%0D%0A%0D%0A" in address
    assert "reminder" not in text(signed_in("kitchen").get(reverse("order", args=[order.pk])))


def test_the_money_stands_above_what_was_ordered_and_the_kitchen_sees_none() -> None:
    order = order_make()
    page = text(signed_in().get(reverse("order", args=[order.pk])))
    assert page.index("Balance due") < page.index("Ordered")
    assert "not invoiced yet" in page
    assert "Balance due" not in text(signed_in("kitchen").get(reverse("order", args=[order.pk])))


def test_an_orders_page_takes_no_more_queries_for_more_lines_documents_or_payments(
    django_assert_max_num_queries: object,
) -> None:
    from django.db import connection
    from django.test.utils import CaptureQueriesContext

    order = order_make()
    client = signed_in()
    counts = []
    for _ in range(2):
        pay(order, 100)
        client.get(reverse("order", args=[order.pk]))
        with CaptureQueriesContext(connection) as queries:
            client.get(reverse("order", args=[order.pk]))
        counts.append(len(queries))
    assert counts[0] == counts[1]
