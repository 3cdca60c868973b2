"""An approval makes an order; it is made, handed over, closed, or canceled with a decision about the money."""

import re
from datetime import UTC, date, datetime, timedelta
from typing import Any
from zoneinfo import ZoneInfo

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext

from catalog.kitchen.selectors import kitchen_zone, local_day
from orders.documents.content import content_read
from orders.invoices.order_money import order_money
from orders.orders.models import Order
from orders.orders.presenters import order_history_rows
from orders.orders.selectors import order_history, orders_listed
from orders.orders.services import order_cancel, order_close, order_deliver, order_note
from orders.records.errors import DecideTheMoney, NotInvoiced, NotPaid, TransitionNotAllowed
from orders.records.models import AuditEntry
from tests.factories import BY, EVENT
from tests.integration.catalog.pantry.test_ingredients import signed_in
from tests.integration.orders.builders import LATER, YES, credit, invoice_make, order_make, pay
from tests.refusals import refused
from tests.sending import quote_send_seen
from tests.starting import order_start

pytestmark = pytest.mark.django_db


def test_an_approval_makes_the_order_that_was_agreed() -> None:
    order = order_make()
    content = content_read(order.quote.content)
    assert order.number == "O-00001"
    assert order.status == "confirmed"
    assert (order.total_minor, order.deposit_minor) == (content.total_minor, content.deposit_minor)
    assert order.deposit_due_on == local_day(YES) + timedelta(days=content.deposit_days)
    lines = [(line.product.code, line.name, line.units) for line in order.lines.select_related("product")]
    assert lines == [(line.product, line.name, line.units) for line in content.lines]


def test_a_late_evening_approval_counts_its_days_where_the_kitchen_is() -> None:
    evening = YES.replace(hour=23, minute=30)  # already the next day in UTC
    order = order_make(at=evening)
    days = content_read(order.quote.content).deposit_days
    assert order.deposit_due_on == evening.date() + timedelta(days=days)


def test_a_product_whose_code_changed_since_is_found_by_the_quotes_line() -> None:
    from catalog.products.models import Product
    from orders.approvals.services import ApprovalEvidence, quote_approve
    from orders.quotes.models import Quote
    from tests.factories import draft_make, kitchen_make, pdf_stored

    kitchen_make()
    quote = draft_make()
    Quote.objects.filter(pk=quote.pk).update(valid_until=YES + timedelta(days=7), override_reason="a test's price")
    sent = pdf_stored(quote_send_seen(quote_id=quote.pk, by=BY, at=YES))
    tart = Product.objects.get(code="custard-tart")
    Product.objects.filter(pk=tart.pk).update(code="custard-tart-2")
    quote_approve(quote_id=sent.pk, content_sha256=sent.content_sha256, name="Ida", evidence=ApprovalEvidence(), at=YES)
    assert tart.pk in set(Order.objects.get(quote=sent).lines.values_list("product_id", flat=True))


def test_it_is_made_delivered_and_closed_when_paid() -> None:
    order = order_make()
    order_start(order_id=order.pk, by=BY, at=LATER)
    order_deliver(order_id=order.pk, note="Taken by the venue.", by=BY, at=LATER)
    with pytest.raises(NotInvoiced):
        order_close(order_id=order.pk, by=BY, at=LATER)
    invoice = invoice_make(order)
    pay(order, invoice.due_minor - 1)
    with refused(NotPaid, match=r"\$0\.01 is due"):
        order_close(order_id=order.pk, by=BY, at=LATER)
    pay(order, 1)
    assert order_close(order_id=order.pk, by=BY, at=LATER).status == "closed"
    events = AuditEntry.objects.filter(document="order", document_pk=order.pk).values_list("event", flat=True)
    assert list(events) == ["confirm", "start", "deliver", "payment", "payment", "close"]


def test_it_cannot_be_started_twice_or_canceled_after_hand_over() -> None:
    order = order_make()
    order_start(order_id=order.pk, by=BY, at=LATER)
    with pytest.raises(TransitionNotAllowed):
        order_start(order_id=order.pk, by=BY, at=LATER)
    order_deliver(order_id=order.pk, by=BY, at=LATER)
    with pytest.raises(TransitionNotAllowed):
        order_cancel(order_id=order.pk, reason="too late", by=BY, at=LATER)


def test_cancelling_without_money_needs_no_decision() -> None:
    order = order_cancel(order_id=order_make().pk, reason="The wedding is off.", by=BY, at=LATER)
    assert (order.status, order.canceled_money) == ("canceled", "")


def test_money_that_came_in_is_decided_on_before_an_order_is_canceled() -> None:
    order = order_make()
    pay(order, order.deposit_minor, "deposit")
    with refused(DecideTheMoney, match="was paid for O-00001"):
        order_cancel(order_id=order.pk, reason="The wedding is off.", by=BY, at=LATER)
    assert Order.objects.get(pk=order.pk).status == "confirmed"
    order_cancel(order_id=order.pk, reason="The wedding is off.", money="refund", by=BY, at=LATER)
    assert order_money(order).credit == order.deposit_minor
    pay(order, order.deposit_minor, "refund")
    assert order_money(order).received == 0


def test_the_note_for_the_kitchen_is_saved_with_its_author() -> None:
    order = order_make()
    order_note(order_id=order.pk, note="No candles.", by="kim", at=LATER)
    order_note(order_id=order.pk, note="No candles.", by="kim", at=LATER)
    assert Order.objects.get(pk=order.pk).note == "No candles."
    assert AuditEntry.objects.filter(event="note", by="kim").count() == 1


def test_an_orders_money_is_what_was_agreed_invoiced_credited_and_paid() -> None:
    order = order_make()
    assert order_money(order).agreed_open == order.total_minor
    pay(order, 10_000, "deposit")
    invoice = invoice_make(order)
    note = credit(invoice, {invoice.lines.all()[0].pk: 2_000})
    money = order_money(order)
    assert (money.total, money.deposit, money.received) == (order.total_minor, order.deposit_minor, 10_000)
    assert (money.invoiced, money.credited) == (invoice.total_minor, note.total_minor)
    assert money.balance == invoice.total_minor - note.total_minor - 10_000
    assert (money.credit, money.unused) == (0, -money.balance)
    assert money.agreed_open == order.total_minor - note.total_minor - 10_000
    pay(order, money.balance + 700)
    money = order_money(order)
    assert (money.balance, money.credit, money.unused, money.agreed_open) == (-700, 700, 700, 0)


def test_orders_are_listed_by_where_they_stand_and_found_by_number_title_or_customer() -> None:
    _late, soon, made, closed, off = (
        order_make(title=title, window_start=EVENT + timedelta(days=day))
        for title, day in (("Late", 9), ("Soon", 1), ("Made", 2), ("Closed", 3), ("Off", 4))
    )
    order_start(order_id=soon.pk, by=BY, at=LATER)
    for order in (made, closed):
        order_deliver(order_id=order.pk, by=BY, at=LATER)
    pay(closed, invoice_make(closed).due_minor)
    order_close(order_id=closed.pk, by=BY, at=LATER)
    order_cancel(order_id=off.pk, reason="Off.", by=BY, at=LATER)

    def titles(**chosen: Any) -> list[str]:
        return [order.title for order in orders_listed(**chosen)]

    assert titles() == titles(which="never heard of") == ["Soon", "Late", "Made"]
    assert titles(which="confirmed") == ["Late"]
    assert titles(which="in_production") == ["Soon"]
    assert titles(which="delivered") == ["Made"]
    assert titles(which="closed") == ["Off", "Closed"]
    assert titles(which="all") == ["Late", "Off", "Closed", "Made", "Soon"]
    assert titles(which="all", find="made") == ["Made"]
    assert titles(which="all", find=made.number.lower()) == ["Made"]
    assert len(titles(which="all", find="ida fen")) == 5
    assert titles(find="nobody") == []
    order_make(title="Made too", window_start=made.window_start)
    assert titles(which="all", find="made") == ["Made too", "Made"]
    assert titles(day=made.window_start.date()) == ["Made too", "Made"]
    assert titles(sort="latest")[0] == titles(sort="event")[0] == "Late"
    assert titles(sort="number")[0] == "Made too"
    assert {order.title: order.received for order in orders_listed(which="closed")} == {
        "Closed": closed.total_minor,
        "Off": 0,
    }


def test_a_list_of_orders_takes_one_query(django_assert_num_queries: Any) -> None:
    order_make()
    with django_assert_num_queries(1):
        assert [order.customer.name for order in orders_listed()] == ["Ida Fenwick"]


def test_the_history_lists_events_of_the_order_and_its_documents_and_of_no_other() -> None:
    order, other = order_make(), order_make()
    pay(other, 100)
    invoice_make(other)
    order_start(order_id=order.pk, by=BY, at=LATER)
    pay(order, order.deposit_minor, "deposit")
    invoice = invoice_make(order)
    pay(order, invoice.due_minor)
    AuditEntry.objects.create(document="quote", document_pk=order.pk, event="send", by=BY, at=LATER)
    AuditEntry.objects.create(document="order", document_pk=order.pk, event="unheard of", by=BY, at=LATER)
    assert [row.what for row in order_history_rows(order_history(order))] == [
        "order confirmed",
        "production started",
        "deposit recorded",
        "invoice drafted",
        "document issued",
        "payment recorded",
        "invoice paid or credited in full",
        "unheard of",
    ]
    assert [entry.document for entry in order_history(order)].count("invoice") == 3


def test_the_days_of_an_order_are_the_kitchens() -> None:
    order_make()
    assert kitchen_zone() == ZoneInfo("America/New_York")
    midnight = datetime(2027, 1, 7, 2, 0, tzinfo=UTC)
    assert local_day(midnight) == date(2027, 1, 6)
    assert local_day(midnight, ZoneInfo("Europe/Berlin")) == date(2027, 1, 7)


def test_a_search_leaves_out_what_no_database_can_look_for(client: Client) -> None:
    order = order_make(title="Made")
    page = signed_in(client, "owner").get("/orders/", {"show": "all", "find": "Ma\x00de"}).content.decode()
    assert order.number in page


def test_the_list_is_searched_and_sorted_by_a_plain_form(client: Client) -> None:
    for title, days in (("Alder lunch", 3), ("Birch supper", 1)):
        order_make(title=title, window_start=EVENT + timedelta(days=days))
    browser = signed_in(client, "owner")

    def found(**query: str) -> list[str]:
        page = browser.get("/orders/", query).content.decode()
        return re.findall(r"Alder lunch|Birch supper", page.partition("<tbody>")[2])

    assert found() == ["Birch supper", "Alder lunch"]
    assert found(sort="event") == found(sort="latest") == ["Alder lunch", "Birch supper"]
    assert found(find="birch") == found(find="O-00002") == ["Birch supper"]
    day = (EVENT + timedelta(days=3)).date()
    assert found(day=day.isoformat()) == found(day=f"{day:%m/%d/%Y}") == ["Alder lunch"]
    assert found(show="closed") == []
    assert found(sort="never", day="soon", page="x") == ["Birch supper", "Alder lunch"]
    page = browser.get("/orders/", {"day": "soon"}).content.decode()
    assert "Write the event day as a date that exists" in page
    assert 'value="soon"' in page
    assert found(show="closed", find="birch") == ["Birch supper"]


def test_closed_and_canceled_orders_are_shown_when_they_are_asked_for(client: Client) -> None:
    order = order_make()
    order_cancel(order_id=order.pk, reason="Off.", by=BY, at=LATER)
    browser = signed_in(client, "owner")
    assert order.number not in browser.get("/orders/").content.decode()
    for show in ("closed", "all"):
        assert order.number in browser.get("/orders/", {"show": show}).content.decode()


def test_a_long_list_has_pages_of_fifty_and_takes_the_same_queries(client: Client) -> None:
    order = order_make()
    browser = signed_in(client, "owner")
    counts = []
    for _ in range(2):
        browser.get("/orders/")
        with CaptureQueriesContext(connection) as queries:
            page = browser.get("/orders/", {"find": "wedding"}).content.decode()
        counts.append(len(queries))
        assert page.partition("<tbody>")[2].count("<tr>") == min(50, Order.objects.count())
        many_make(order, 60)
    assert counts[0] == counts[1]
    assert "find=wedding&amp;page=2" in browser.get("/orders/", {"find": "wedding"}).content.decode()


def many_make(order: Order, count: int) -> None:
    """Write orders that differ in their numbers alone."""
    quote = order.quote
    first = Order.objects.count()
    for place in range(first, first + count):
        quote.pk, quote.number = None, f"Q-9{place:04}"
        quote.save(force_insert=True)
        order.pk, order.number, order.quote = None, f"O-9{place:04}", quote
        order.save(force_insert=True)
