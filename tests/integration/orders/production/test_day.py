"""The day at a glance, by role; and that the kitchen sees no money anywhere."""

import csv
import re
from datetime import datetime, timedelta
from typing import Any

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from catalog.book.revision import catalog_changed
from catalog.outbox.models import Outbox
from catalog.pantry.models import Ingredient
from catalog.price_rules.models import PriceRule
from orders.approvals.models import Message
from orders.documents.content import content_read
from orders.inquiries.models import Customer, Inquiry
from orders.invoices.models import Invoice
from orders.orders.models import Order
from orders.orders.services import order_deliver
from orders.production.day import the_day
from orders.records.money import minor_units
from tests.factories import BY, EVENT, NOW
from tests.integration.orders.builders import LATER, credit, invoice_make, order_make, pay
from tests.integration.orders.register.test_register import signed_in
from tests.sending import own_read
from tests.starting import order_start

pytestmark = pytest.mark.django_db
FIGURE = re.compile(r"[$€£¥]\s?\d|\d[.,]\d\d\b(?!\s*(h|kg|lb|oz|g|cm|°))|USD|EUR")


def titles(rows: list[object]) -> list[str]:
    return [row.order.title for row in rows]  # type: ignore[attr-defined]  # the rows of the day


def test_orders_stand_on_their_day() -> None:
    order_make(title="Today")
    order_make(title="Tomorrow", window_start=EVENT + timedelta(days=1))
    order_make(title="In three days", window_start=EVENT + timedelta(days=3))
    order_make(title="In three weeks", window_start=EVENT + timedelta(days=21))
    begun = order_make(title="Begun", window_start=EVENT + timedelta(days=4))
    order_start(order_id=begun.pk, by=BY, at=LATER)
    day = the_day(at=EVENT.replace(hour=8), owner=True)
    assert titles(day.coming) == ["Today", "Tomorrow", "In three days", "Begun"]
    assert [[order.title for order in orders] for _, orders in day.week] == [
        ["Today"], ["Tomorrow"], [], ["In three days"], ["Begun"], [], []
    ]  # fmt: skip
    assert titles(day.late) == []


def test_what_must_begin_stands_before_what_leaves_earlier() -> None:
    begun = order_make(title="Begun")
    order_start(order_id=begun.pk, by=BY, at=LATER)
    order_make(title="Not begun", window_start=EVENT + timedelta(hours=2))
    day = the_day(at=EVENT.replace(hour=1))
    assert titles(day.coming) == ["Not begun", "Begun"]
    moments = [row.next_at for row in day.coming]
    assert moments == sorted(moments)
    assert moments[0] == day.coming[0].begin_by
    assert moments[1] < begun.window_start, "the way is before the window"


def test_an_order_handed_over_comes_no_more_and_stays_in_the_week() -> None:
    order = order_make()
    order_deliver(order_id=order.pk, by=BY, at=EVENT)
    day = the_day(at=EVENT.replace(hour=8))
    assert day.coming == []
    assert day.week[0][1] == [order]


def test_an_order_past_its_day_is_called_late_until_it_is_delivered() -> None:
    order = order_make()
    late = EVENT + timedelta(days=1)
    assert titles(the_day(at=late, owner=False).late) == [order.title]
    order_deliver(order_id=order.pk, by=BY, at=late)
    assert titles(the_day(at=late, owner=False).late) == []


def test_the_owner_sees_who_has_to_answer_and_what_is_owed() -> None:
    order = order_make()
    invoice = invoice_make(order)
    Message.objects.create(quote=order.quote, kind="change", text="More tarts", by="customer", at=NOW)
    refused = {"code": "unexpected", "params": {"error": "refused"}}
    Outbox.objects.create(kind="mail", summary="To Ida", status="failed", error=refused, created_at=NOW, run_after=NOW)
    assert invoice.due_on is not None
    after = datetime.combine(invoice.due_on + timedelta(days=1), datetime.min.time(), EVENT.tzinfo)
    day = the_day(at=after, owner=True)
    assert [message.text for message in day.messages] == ["More tarts"]
    assert [row.summary for row in day.failed] == ["To Ida"]
    assert day.owed is not None
    assert (day.owed.overdue_count, minor_units(day.owed.overdue_sum)) == (1, invoice.due_minor)


def test_the_latest_start_is_before_the_way_and_within_hours() -> None:
    order = order_make()
    (row,) = the_day(at=EVENT.replace(hour=8), owner=False).coming
    assert row.begin_by is not None
    assert row.begin_by < order.window_start - timedelta(minutes=75)
    order_start(order_id=order.pk, by=BY, at=LATER)
    (row,) = the_day(at=EVENT.replace(hour=8), owner=False).coming
    assert row.begin_by is None


def test_the_latest_start_is_known_where_every_price_rule_names_a_kind_of_customer() -> None:
    order = order_make()
    Customer.objects.update(kind="planner")
    PriceRule.objects.update(customer_kind="planner", category="", product=None)
    catalog_changed()
    (row,) = the_day(at=EVENT.replace(hour=8), owner=False).coming
    assert row.order == order
    assert row.begin_by is not None


def test_more_orders_of_a_day_take_no_more_queries() -> None:
    counts = []
    for _ in range(2):
        order_make()
        the_day(at=EVENT.replace(hour=8), owner=False)  # what a Book is asked once is known afterwards
        with CaptureQueriesContext(connection) as queries:
            the_day(at=EVENT.replace(hour=8), owner=False)
        counts.append(len(queries))
    assert counts[0] == counts[1]


def test_more_orders_begun_take_no_more_queries() -> None:
    counts = []
    for _ in range(2):
        order_start(order_id=order_make().pk, by=BY, at=LATER)
        the_day(at=EVENT.replace(hour=8), owner=True)  # what a Book is asked once is known afterwards
        with CaptureQueriesContext(connection) as queries:
            the_day(at=EVENT.replace(hour=8), owner=True)
        counts.append(len(queries))
    assert counts[0] == counts[1]


def test_more_orders_not_begun_take_no_more_queries() -> None:
    counts = []
    for _ in range(2):
        order_make()
        the_day(at=EVENT.replace(hour=8), owner=True)  # what a Book is asked once is known afterwards
        with CaptureQueriesContext(connection) as queries:
            the_day(at=EVENT.replace(hour=8), owner=True)
        counts.append(len(queries))
    assert counts[0] == counts[1]


def test_each_role_begins_where_its_work_is() -> None:
    order_make()
    assert signed_in("owner").get("/").status_code == 200
    assert signed_in("kitchen").get("/").status_code == 200
    assert signed_in("bookkeeper").get("/").status_code == 200
    assert Client().get("/").status_code == 302


@pytest.fixture
def story() -> tuple[Order, Invoice, Invoice]:
    """An order with every kind of money on it."""
    order = order_make()
    pay(order, order.deposit_minor, "deposit")
    invoice = invoice_make(order)
    pay(order, 10_000)
    note = credit(invoice, {invoice.lines.filter(kind="line")[0].pk: 2_000}, at=LATER + timedelta(days=1))
    return order, invoice, note


def test_the_kitchen_sees_no_money_on_any_page_it_may_open(story: tuple[Order, Invoice, Invoice]) -> None:
    order, _, _ = story
    client = signed_in("kitchen")
    days = f"?first={EVENT.date()}&last={EVENT.date()}"
    pages = ["/", reverse("orders"), f"{reverse('orders')}?show=all", reverse("order", args=[order.pk])]
    pages += [reverse("sheets") + days]
    pages += [reverse(f"sheet-{name}") + days for name in ("shopping", "recipes", "prep", "oven", "cold", "handover")]
    for page in pages:
        answer = client.get(page)
        assert answer.status_code == 200, page
        body = re.sub(r"<head>.*?</head>|<[^>]*>", " ", answer.content.decode(), flags=re.DOTALL)
        assert not FIGURE.search(body), (page, FIGURE.search(body))


MONEY_PAGES = [
    ("money-register", None),
    ("money-register-csv", None),
    ("money-due", None),
    ("money-payments", None),
    ("money-exports", None),
    ("money-export-new", None),
    ("invoice", "invoice"),
    ("invoice-pdf", "invoice"),
    ("invoice-credit", "invoice"),
    ("order-pay", "order"),
    ("order-cancel", "order"),
]


@pytest.mark.parametrize(("name", "about"), MONEY_PAGES)
def test_money_pages_are_closed_to_the_kitchen(
    name: str, about: str | None, story: tuple[Order, Invoice, Invoice]
) -> None:
    order, invoice, _ = story
    args = {"order": [order.pk], "invoice": [invoice.pk]}.get(about or "", [])
    assert signed_in("kitchen").get(reverse(name, args=args)).status_code == 403
    # The PDF of an invoice just issued is waited for: accepted, not there yet.
    assert signed_in("owner").get(reverse(name, args=args)).status_code == (202 if name == "invoice-pdf" else 200)


OWNER_ONLY = ("order-close", "order-cancel", "order-invoice", "invoice-issue", "invoice-discard", "invoice-credit")


@pytest.mark.parametrize("name", OWNER_ONLY)
def test_the_bookkeeper_reads_and_records_but_does_not_decide(name: str, story: tuple[Order, Invoice, Invoice]) -> None:
    order, invoice, _ = story
    pk = order.pk if name.startswith("order") else invoice.pk
    assert signed_in("bookkeeper").post(reverse(name, args=[pk])).status_code == 403


@pytest.mark.parametrize("name", ["order-start", "order-deliver", "order-note", "sheets", "sheet-recipes"])
def test_the_bookkeeper_does_not_make(name: str, story: tuple[Order, Invoice, Invoice]) -> None:
    args = [story[0].pk] if name.startswith("order") else []
    client = signed_in("bookkeeper")
    answer = client.post(reverse(name, args=args)) if args else client.get(reverse(name))
    assert answer.status_code == 403


def test_a_reported_allergy_is_named_wherever_the_order_is(story: tuple[Order, Invoice, Invoice]) -> None:
    order, _, _ = story
    client = signed_in("kitchen")
    page = client.get(reverse("order", args=[order.pk])).content.decode()
    assert "Not for them:</p><ul><li>Walnut sponge cake, two tiers (contains walnuts)</li></ul>" in page
    sheet = client.get(f"{reverse('sheet-handover')}?first={EVENT.date()}&last={EVENT.date()}").content.decode()
    assert "Not for them:</p><ul><li>Walnut sponge cake, two tiers (contains walnuts)</li></ul>" in sheet
    inquiry = signed_in("owner").get(reverse("inquiry", args=[order.quote.inquiry_id])).content.decode()
    # What a guest cannot eat is all of a group, not something of it that nobody named.
    for text in (page, sheet, inquiry):
        assert "tree nuts" in text.lower()
        assert "not named" not in text


def test_label_data_say_what_is_in_each_dessert_and_what_nobody_checked(story: tuple[Order, Invoice, Invoice]) -> None:
    order, _, _ = story
    answer = signed_in("kitchen").get(f"{reverse('sheet-labels')}?first={EVENT.date()}&last={EVENT.date()}")
    assert answer["Content-Disposition"] == f'attachment; filename="labels-{EVENT.date()}-{EVENT.date()}.csv"'
    rows = list(csv.DictReader(answer.content.decode("utf-8-sig").splitlines()))
    assert [row["Dessert"] for row in rows] == [line.name for line in content_read(order.quote.content).lines]
    assert {row["Changed since the quote"] for row in rows} == {""}
    cake = next(row for row in rows if row["Dessert"] == "Walnut sponge cake, two tiers")
    assert (cake["Order"], cake["Contains"], cake["May contain"]) == (order.number, "eggs, milk and walnuts", "")
    assert cake["Not checked yet"] == ""
    assert "traces of other allergens" in cake["About traces"]
    assert signed_in("bookkeeper").get(reverse("sheet-labels")).status_code == 403


def label_rows(client: Client) -> dict[str, dict[str, str]]:
    answer = client.get(f"{reverse('sheet-labels')}?first={EVENT.date()}&last={EVENT.date()}")
    return {row["Dessert"]: row for row in csv.DictReader(answer.content.decode("utf-8-sig").splitlines())}


def test_what_a_label_says_today_reaches_the_order_the_sheets_and_the_labels(
    story: tuple[Order, Invoice, Invoice],
) -> None:
    order, _, _ = story
    frozen = order.quote.content
    walnut = Ingredient.objects.get(code="walnut")
    walnut.allergens, walnut.allergen_answers = ["walnuts", "pecans"], walnut.allergen_answers | {"almonds": "may"}
    del walnut.allergen_answers["pecans"]
    walnut.save()
    catalog_changed()
    sentence = "Walnut sponge cake, two tiers: now contains pecans; now may contain almonds."
    client = signed_in("kitchen")
    for page in (
        client.get(reverse("order", args=[order.pk])),
        client.get(f"{reverse('sheet-handover')}?first={EVENT.date()}&last={EVENT.date()}"),
    ):
        assert sentence in page.content.decode()
    cake = label_rows(client)["Walnut sponge cake, two tiers"]
    assert "pecans" in cake["Contains"]
    assert (cake["May contain"], cake["Suits"]) == ("almonds", "")
    assert cake["Changed since the quote"] == "now contains pecans; now may contain almonds"
    order.quote.refresh_from_db()
    assert order.quote.content == frozen


def test_what_guests_need_since_the_quote_reaches_the_order(story: tuple[Order, Invoice, Invoice]) -> None:
    order, _, _ = story
    Inquiry.objects.filter(pk=order.quote.inquiry_id).update(
        allergies=["tree-nuts", "eggs"], need_counts={"eggs": 3}, allergy_note="One carries a pen."
    )
    page = signed_in("kitchen").get(reverse("order", args=[order.pk])).content.decode()
    assert re.search(
        r"Not in the quote:.{0,40}3 guests cannot have eggs..{0,40}Not for them:.{0,40}Custard tart, 10 cm", page, re.S
    )
    assert "Allergy note since then: “One carries a pen.”" in page


def test_no_get_request_changes_a_status_and_each_leads_to_the_page(story: tuple[Order, Invoice, Invoice]) -> None:
    order, invoice, _ = story
    client = signed_in("owner")
    order.refresh_from_db()
    invoice.refresh_from_db()
    before = order.status, invoice.status
    for name in ("order-start", "order-deliver", "order-close", "order-invoice", "order-note", "order-inform"):
        assert client.get(reverse(name, args=[order.pk])).headers["Location"] == reverse("order", args=[order.pk])
        assert client.put(reverse(name, args=[order.pk])).status_code == 405
    for name in ("invoice-issue", "invoice-discard"):
        assert client.get(reverse(name, args=[invoice.pk])).headers["Location"] == reverse("invoice", args=[invoice.pk])
    order.refresh_from_db()
    invoice.refresh_from_db()
    assert (order.status, invoice.status) == before


ODD = [{}, {"amount": "\x00", "kind": "x"}, {"amount": "1e9", "received_on": "31/02/2027"}, {"amount": "9" * 39}]


@pytest.mark.parametrize("data", ODD)
def test_odd_forms_are_answered_with_sentences_and_keep_their_values(
    data: dict[str, str], story: tuple[Order, Invoice, Invoice]
) -> None:
    order, invoice, _ = story
    client = signed_in("owner")
    for name, pk in (("order-pay", order.pk), ("order-cancel", order.pk), ("invoice-credit", invoice.pk)):
        answer = client.post(reverse(name, args=[pk]), data)
        assert answer.status_code == 200
        assert "to fix" in answer.content.decode()
    answer = client.post(reverse("order-pay", args=[order.pk]), {"amount": "12,5,0x", "reference": "Kept me"})
    assert "Kept me" in answer.content.decode()
    assert "12,5,0x" in answer.content.decode()


def test_money_is_recorded_on_screen_once(story: tuple[Order, Invoice, Invoice]) -> None:
    order, _, _ = story
    client = signed_in("bookkeeper")
    page = client.get(reverse("order-pay", args=[order.pk])).content.decode()
    key = re.search(r'name="idempotency_key" value="(\w{32})"', page)
    assert key
    form = {
        "kind": "payment",
        "amount": "$1,000.50",
        "means": "30",
        "received_on": LATER.date().isoformat(),
        "idempotency_key": key[1],
    }
    form["received_on"] = "2026-01-05"
    for _ in range(2):
        assert client.post(reverse("order-pay", args=[order.pk]), form).status_code == 302
    assert order.payments.filter(amount_minor=100_050).count() == 1


def test_a_credit_note_is_written_on_screen(story: tuple[Order, Invoice, Invoice]) -> None:
    _, invoice, _ = story
    client = signed_in("owner")
    address = reverse("invoice-credit", args=[invoice.pk])
    row = invoice.lines.filter(kind="line")[1]
    form: dict[str, Any] = {"how": "parts", "reason": "Two broke", f"row-{row.pk}": "999999"}
    form["read"] = own_read(invoice.order.quote, "Two broke")
    assert "is left to credit here" in client.post(address, form).content.decode()
    assert "at least one item" in client.post(address, {"how": "parts", "reason": "Two broke"}).content.decode()
    review = client.post(address, {**form, f"row-{row.pk}": "5"})
    seen = str(review.context["outcome"].totals.total_minor)
    answer = client.post(address, {**form, f"row-{row.pk}": "5", "do": "issue", "seen": seen}, follow=True)
    assert "Credit note C-00002 issued." in answer.content.decode()
