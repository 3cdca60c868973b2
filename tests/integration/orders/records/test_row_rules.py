"""Each table's rules, tried by raw SQL: what may change does, once where it is once, and everything else is refused."""

from collections.abc import Iterator
from datetime import timedelta
from decimal import Decimal
from typing import Any

import pytest
from django.apps import apps
from django.db import DatabaseError, IntegrityError, connection, transaction

from catalog.kitchen.models import Kitchen
from orders.approvals.links import link_create
from orders.approvals.models import Approval, Link, Message
from orders.approvals.services import ApprovalEvidence, quote_approve, quote_ask_change
from orders.cooling_log.models import Reading
from orders.cooling_log.services import RecordData, cooling_record_add
from orders.documents.models import Document, PreparedFile, PreparedPart, StoredPart
from orders.inquiries.models import Customer, Inquiry
from orders.invoices.models import IssuedMonth, IssuedMonthTax, OrderAccount, Payment
from orders.invoices.papers import request_issue
from orders.orders.models import Order, OrderLine
from orders.orders.services import order_cancel, order_deliver
from orders.planning.models import KitchenPlan, WindowCheck
from orders.quotes.cooling.selectors import Item
from orders.quotes.files import quote_document
from orders.records.immutable_rows import rules
from orders.records.models import AuditEntry, NumberSeries
from orders.records.row_rules import ERASE, ERASED
from orders.records.transitions import audit
from orders.reminders.models import Reminder, ReminderRule, ReminderSettings, ReminderStop, ThingsOut
from tests.cooling_kitchen import DEEP, cooling_kitchen_make, override_make
from tests.factories import BY, EVENT, NOW, draft_make, kitchen_make, pdf_stored
from tests.integration.orders.builders import LATER, invoice_make, pay
from tests.integration.orders.register.test_exports import export
from tests.sending import quote_send_seen
from tests.starting import order_start

pytestmark = pytest.mark.django_db
GUARDED = dict(rules())
#: People and their wishes may be corrected at any time; running sums are counted again from the documents, and the
#: check of a window and the plan are made anew. Reminders are settings and plans; what went out is in the audit trail.
FREE = {
    Customer,
    Inquiry,
    IssuedMonth,
    IssuedMonthTax,
    KitchenPlan,
    OrderAccount,
    PreparedFile,
    PreparedPart,
    Reminder,
    ReminderRule,
    ReminderSettings,
    ReminderStop,
    ThingsOut,
    WindowCheck,
}


@pytest.fixture
def order() -> Order:
    """An order with a row in every table that has rules."""
    tart = cooling_kitchen_make(**DEEP)
    Kitchen.objects.update(payments_after=[{"days": 1, "share": "0.5"}])
    quote = draft_make()
    override_make(quote)
    quote = pdf_stored(quote_send_seen(quote_id=quote.pk, by=BY, at=NOW))
    link_create(quote_id=quote.pk, at=NOW)
    quote_document(quote_id=quote.pk, at=NOW)
    link = Link.objects.all()[0]
    evidence = ApprovalEvidence(link_id=link.pk, ip="192.0.2.7", user_agent="A browser")
    quote_ask_change(quote_id=quote.pk, text="Fewer nuts, please.", evidence=evidence, at=NOW)
    quote.refresh_from_db()
    quote_approve(quote_id=quote.pk, content_sha256=quote.content_sha256, name="Ida Fenwick", evidence=evidence, at=NOW)
    order = Order.objects.get(quote=quote)
    made = EVENT - timedelta(days=1)
    reading = Reading(made, Decimal(60))
    measured = RecordData(Item("product", tart.pk), [reading], "cooling", started_at=made, part=1)
    cooling_record_add(order_id=order.pk, data=measured, by=BY, at=made)
    pay(order, 100, note="cash in hand")
    request_issue(order_id=order.pk, mail=False, by=BY, at=NOW)
    invoice_make(order)
    export()
    StoredPart.objects.create(document=Document.objects.all()[0], position=0, body=b"a part of a large file")
    return order


def _try(statement: str, *values: object) -> str:
    """Return what the database says to a statement, nothing when it does it."""
    try:
        with transaction.atomic(), connection.cursor() as cursor:
            cursor.execute(statement, values)
    except DatabaseError as error:
        return str(error)
    return ""


def _set(row: Any, **values: object) -> str:
    columns = ", ".join(f"{row._meta.get_field(name).column} = %s" for name in values)
    key = row._meta.pk.column
    return _try(f"UPDATE {row._meta.db_table} SET {columns} WHERE {key} = %s", *values.values(), row.pk)  # noqa: S608


def _other(field: Any, value: Any) -> Any:
    kind = field.get_internal_type()
    if kind == "JSONField":
        return '{"something": "else"}'
    if kind in {"DateTimeField", "DateField"}:
        return field.get_db_prep_save((value or NOW) + timedelta(days=1), connection)
    if kind == "GenericIPAddressField":
        return "192.0.2.99"
    if kind == "BinaryField":
        return b"other bytes"
    if field.is_relation or "Integer" in kind or kind == "BigAutoField":
        return (getattr(value, "pk", value) or 0) + 1000
    if kind == "BooleanField":
        return not value
    return "9" if field.max_length in {1, 2} else "¤"


def _fixed_columns() -> Iterator[tuple[Any, Any]]:
    for model, rule in GUARDED.items():
        row = model._default_manager.all()[0]
        for field in model._meta.concrete_fields:
            still_empty = field.name in rule.set_once and getattr(row, field.name) is None
            if field.name not in rule.mutable and not still_empty:
                yield row, field


def test_every_table_of_orders_has_rules_or_is_free_on_purpose() -> None:
    models = set(apps.get_app_config("orders").get_models())
    assert models - set(GUARDED) == FREE


def test_no_column_takes_any_value_unless_its_rule_says_so(order: Order) -> None:
    taken = []
    for row, field in _fixed_columns():
        answer = _set(row, **{field.name: _other(field, getattr(row, field.name))})
        if "never" not in answer:
            taken.append(f"{row._meta.model_name}.{field.name}: {answer or 'done'}")
    assert taken == []


def test_no_row_is_deleted(order: Order) -> None:
    for model in GUARDED:
        assert "never" in _try(f"DELETE FROM {model._meta.db_table}"), model  # noqa: S608 - names are ours


def test_an_order_moves_along_its_table_alone(order: Order) -> None:
    for status in ("closed", "canceled2", "draft"):
        assert "never" in _set(order, status=status)
    order_start(order_id=order.pk, read=[one.pk for one in Message.objects.all()], by=BY, at=LATER)
    assert "never" in _set(order, status="confirmed")
    order_deliver(order_id=order.pk, note="As ordered", core=Decimal(4), owner=True, by=BY, at=LATER)
    for status in ("confirmed", "in_production", "canceled"):
        assert "never" in _set(order, status=status)
    assert "never" in _set(order, delivered_at=str(NOW)), "the time of the hand-over stands"
    assert _set(order, note="Ring twice.") == ""


def test_what_happens_to_the_money_is_written_with_the_cancellation_alone(order: Order) -> None:
    assert "never" in _set(order, canceled_money="keep")
    order_cancel(order_id=order.pk, reason="The hall burned down.", money="refund", by=BY, at=LATER)
    assert "never" in _set(order, canceled_money="keep")
    assert "never" in _set(order, canceled_reason="We did not feel like it.")


def test_an_order_gets_no_line_after_it_was_confirmed(order: Order) -> None:
    line = order.lines.all()[0]
    with pytest.raises(IntegrityError, match="never added later"), transaction.atomic():
        OrderLine.objects.create(order=order, product=line.product, name="One more", units=1)


def test_a_number_goes_up_by_one_and_nowhere_else() -> None:
    series = NumberSeries.objects.create(code="order", prefix="O-", last=7)
    for last in (6, 9, 0):
        assert "never" in _set(series, last=last)
    assert "never" in _set(series, last=8, prefix="X-")
    assert _set(series, last=8) == ""


def test_a_message_is_seen_once_and_a_link_opened_and_closed_once(order: Order) -> None:
    link, message = Link.objects.all()[0], Message.objects.all()[0]
    for row, name in ((message, "seen_at"), (link, "first_opened_at"), (link, "revoked_at")):
        assert _set(row, **{name: str(NOW)}) == ""
        assert "never" in _set(row, **{name: str(LATER)})
        assert "never" in _set(row, **{name: None})


def test_a_drafts_status_moves_along_the_table_too() -> None:
    kitchen_make()
    draft = draft_make()
    for status in ("approved", "declined", "expired", "lost"):
        assert "never" in _set(draft, status=status)
    assert _set(draft, status="withdrawn") == ""


def test_words_of_a_person_are_erased_by_the_mark_alone_and_after_it_was_written_down(order: Order) -> None:
    approval, message, payment = Approval.objects.get(), Message.objects.get(), Payment.objects.get()
    marks: list[tuple[Any, str, object]] = [
        (message, "text", ERASED),
        (message, "by", ERASED),
        (approval, "name", ERASED),
        (approval, "ip", None),
        (approval, "user_agent", ERASED),
        (payment, "note", ERASED),
        (order, "title", ERASED),
    ]
    for row, name, mark in marks:
        assert "written down" in _set(row, **{name: mark}), f"{row._meta.model_name}.{name}"
    for row in {row for row, _, _ in marks}:
        audit(row, ERASE, by=BY, at=LATER)
    for row, name, mark in marks:
        assert "never" in _set(row, **{name: "192.0.2.1" if name == "ip" else "Something else"})
        assert _set(row, **{name: mark}) == "", f"{row._meta.model_name}.{name}"
    assert "never" in _set(approval, statement=ERASED)
    assert "never" in _set(approval, content_sha256=ERASED)


def test_an_address_in_the_audit_trail_is_erased_and_nothing_beside_it(order: Order) -> None:
    audit(order, "mail_sent", by=BY, at=LATER, params={"mail": "invoice", "to": "ida@fenwick.example"})
    entry = AuditEntry.objects.order_by("-pk")[0]
    mine = AuditEntry.objects.filter(pk=entry.pk)
    for params in ({"mail": "invoice"}, {"mail": "other", "to": ERASED}, {}):
        with pytest.raises(IntegrityError, match="never"), transaction.atomic():
            mine.update(params=params)
    erased = {"mail": "invoice", "to": ERASED}
    with pytest.raises(IntegrityError, match="written down"), transaction.atomic():
        mine.update(params=erased)
    audit(entry, ERASE, by=BY, at=LATER)
    assert mine.update(params=erased) == 1
