"""Sent, issued and evidential rows cannot be changed by the ORM, raw SQL or REPLACE."""

from collections.abc import Callable
from datetime import timedelta
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest
from django.apps import apps
from django.db import IntegrityError, connection, transaction

from catalog.records.fields import ExactDecimalField
from catalog.taxes.models import TaxCategory
from orders.approvals.files import approval_document
from orders.approvals.models import Approval
from orders.approvals.services import ApprovalEvidence, quote_approve, quote_decline
from orders.documents.models import Document, StoredBytes
from orders.documents.store import document_add
from orders.invoices.models import Invoice, InvoiceLine, InvoiceTax
from orders.invoices.services import invoice_draft, invoice_issue
from orders.quotes.files import quote_document
from orders.quotes.models import BookSnapshot, Quote, QuoteExtra, QuoteLine
from orders.quotes.send.services import quote_revise
from orders.records.immutable_rows import tables, triggers
from orders.records.models import AuditEntry
from orders.records.states import QuoteStatus
from tests.databases import RealDatabase, trigger_count
from tests.factories import BY, NOW, draft_make, kitchen_make, sent_make
from tests.integration.orders.builders import order_make
from tests.sending import quote_send_seen

pytestmark = pytest.mark.django_db
LATER = NOW + timedelta(days=2)


@pytest.fixture(autouse=True)
def kitchen() -> None:
    kitchen_make()


def approve(quote: Quote) -> Approval:
    return quote_approve(
        quote_id=quote.pk,
        content_sha256=quote.content_sha256,
        name="Ida Fenwick",
        evidence=ApprovalEvidence(),
        at=LATER,
    )


def refused(statement: Callable[[], object]) -> None:
    """Assert that the database refuses, and that the transaction around goes on."""
    with pytest.raises(IntegrityError, match="never"), transaction.atomic():
        statement()


def sql(statement: str, *values: object) -> Callable[[], object]:
    def run() -> None:
        with connection.cursor() as cursor:
            cursor.execute(statement, values)

    return run


#: What changes once it was sent; and the key of an order, which is empty in a quote that changes none.
_FREE = {"id", "status", "answered_at", "pdf", "window_chosen", "amends"}
IMMUTABLE_COLUMNS = [field.name for field in Quote._meta.concrete_fields if field.name not in _FREE]


def _other(field: Any, value: Any) -> Any:
    kind = field.get_internal_type()
    if field.is_relation:
        return None
    if kind == "BooleanField":
        return not value
    if kind in ("DateTimeField", "DateField"):
        return (value or NOW) + timedelta(days=1)
    if kind in ("BigIntegerField", "PositiveSmallIntegerField"):
        return (value or 0) + 1
    if isinstance(field, ExactDecimalField):
        return Decimal("0.987")
    return f"{value[:-1]}¤" if value else "¤"


def test_no_immutable_column_of_a_sent_quote_changes_by_update_or_sql() -> None:
    quote = quote_send_seen(quote_id=quote_revise(quote_id=sent_make().pk, by=BY, at=NOW).pk, by=BY, at=NOW)
    quote.refresh_from_db()
    for name in IMMUTABLE_COLUMNS:
        field: Any = Quote._meta.get_field(name)
        value = _other(field, getattr(quote, name))
        refused(lambda name=name, value=value: Quote.objects.filter(pk=quote.pk).update(**{name: value}))  # type: ignore[misc]
        stored = field.get_db_prep_save(value, connection)
        refused(sql(f"UPDATE orders_quote SET {field.column} = %s WHERE id = %s", stored, quote.pk))  # noqa: S608


def test_a_sent_quote_is_not_deleted_by_orm_or_sql() -> None:
    quote = sent_make()
    refused(lambda: Quote.objects.filter(pk=quote.pk)._raw_delete("default"))
    refused(sql("DELETE FROM orders_quote WHERE id = %s", quote.pk))
    refused(lambda: quote.delete())


def test_a_sent_quote_never_becomes_a_draft_and_an_answered_one_never_moves() -> None:
    quote = sent_make()
    refused(lambda: Quote.objects.filter(pk=quote.pk).update(status=QuoteStatus.DRAFT))
    quote_decline(quote_id=quote.pk, reason="", evidence=ApprovalEvidence(), at=LATER)
    for status in (QuoteStatus.SENT, QuoteStatus.APPROVED, QuoteStatus.DRAFT):
        refused(lambda status=status: Quote.objects.filter(pk=quote.pk).update(status=status))  # type: ignore[misc]


def test_lines_and_extras_of_a_sent_quote_are_not_added_changed_moved_or_deleted() -> None:
    quote, draft = sent_make(), draft_make()
    line, extra = quote.lines.all()[0], quote.extras.all()[0]
    tax = TaxCategory.objects.all()[0]
    refused(lambda: QuoteLine.objects.filter(pk=line.pk).update(units=1))
    refused(lambda: QuoteExtra.objects.filter(pk=extra.pk).update(amount_minor=1))
    refused(lambda: line.delete())
    refused(lambda: extra.delete())
    refused(lambda: QuoteExtra.objects.create(quote=quote, name="x", amount_minor=1, tax=tax))
    refused(lambda: QuoteLine.objects.filter(pk=line.pk).update(quote=draft))
    changed = draft.extras.all()[0]
    refused(lambda: QuoteExtra.objects.filter(pk=changed.pk).update(quote=quote))
    refused(sql("UPDATE orders_quoteline SET units = 1 WHERE quote_id = %s", quote.pk))
    refused(sql("DELETE FROM orders_quoteextra WHERE quote_id = %s", quote.pk))


def test_the_pdf_is_filled_in_once() -> None:
    quote = sent_make()
    document = quote_document(quote_id=quote.pk, at=NOW)
    other = document_add(b"x", file_name="x.pdf", media_type="a/b", at=NOW)
    refused(lambda: Quote.objects.filter(pk=quote.pk).update(pdf=other))
    refused(lambda: Quote.objects.filter(pk=quote.pk).update(pdf=None))
    assert quote_document(quote_id=quote.pk, at=LATER).pk == document.pk


def test_evidence_files_and_books_are_not_changed_or_deleted() -> None:
    quote = sent_make()
    approval = approve(quote)
    approval_document(approval_id=approval.pk, at=LATER)
    refused(lambda: Approval.objects.filter(pk=approval.pk).update(name="Somebody"))
    refused(lambda: Approval.objects.filter(pk=approval.pk).update(pdf=None))
    refused(lambda: Document.objects.all().update(file_name="x"))
    refused(lambda: StoredBytes.objects.all().update(body=b"x"))
    refused(lambda: BookSnapshot.objects.all().update(body="{}"))
    refused(lambda: AuditEntry.objects.all().update(by="nobody"))
    for table in (
        "orders_approval",
        "orders_storedbytes",
        "orders_document",
        "orders_booksnapshot",
        "orders_auditentry",
    ):
        refused(sql(f"DELETE FROM {table}"))  # noqa: S608 - names are ours


def test_saving_or_deleting_the_object_is_no_way_round() -> None:
    quote = sent_make()
    quote.note = "Something else"
    refused(quote.save)
    refused(quote.delete)
    refused(Quote.objects.filter(pk=quote.pk).delete)


def test_a_replace_statement_is_no_way_round() -> None:
    quote = sent_make()
    line = quote.lines.all()[0]
    insert = "INSERT INTO orders_quoteline (id, quote_id, product_id, position, units) VALUES (%s, %s, %s, 0, 1)"
    # What SQLite has a word of its own for, PostgreSQL writes as a conflict that is resolved.
    other = f"{insert} ON CONFLICT (id) DO UPDATE SET units = 1"
    refused(
        sql(
            insert.replace("INSERT", "REPLACE") if connection.vendor == "sqlite" else other,
            line.pk,
            quote.pk,
            line.product_id,
        )
    )


def test_every_trigger_stands_after_all_migrations() -> None:
    wanted = {trigger.name for trigger in triggers(apps)}
    query = (
        "SELECT name FROM sqlite_master WHERE type = 'trigger'"
        if connection.vendor == "sqlite"
        else "SELECT tgname FROM pg_trigger WHERE NOT tgisinternal"
    )
    with connection.cursor() as cursor:
        cursor.execute(query)
        found = {row[0] for row in cursor.fetchall()}
    assert wanted <= found


def test_every_column_of_a_sent_quote_is_guarded_by_its_trigger() -> None:
    by_name = {trigger.name: trigger for trigger in triggers(apps)}
    guarded = by_name["orders_quote_update"].when
    assert all(f"NEW.{Quote._meta.get_field(name).column}" in guarded for name in IMMUTABLE_COLUMNS)


def test_an_issued_invoice_is_fixed_but_for_its_status_and_its_pdf_once() -> None:
    order = order_make()
    draft = invoice_draft(order_id=order.pk, by=BY, at=LATER)
    assert Invoice.objects.filter(pk=draft.pk).update(note="A draft is free.") == 1
    invoice = invoice_issue(invoice_id=draft.pk, by=BY, at=LATER)
    line, tax = invoice.lines.all()[0], invoice.taxes.all()[0]
    mine = Invoice.objects.filter(pk=invoice.pk)
    refused(lambda: mine.update(note="x"))
    refused(lambda: mine.update(number="I-99999"))
    refused(lambda: mine.update(status="draft"))
    refused(lambda: mine._raw_delete("default"))
    refused(sql("UPDATE orders_invoice SET due_minor = due_minor + 1, total_minor = total_minor + 1"))
    refused(lambda: InvoiceLine.objects.filter(pk=line.pk).update(amount_minor=1))
    refused(lambda: InvoiceTax.objects.filter(pk=tax.pk).update(tax_minor=1))
    refused(sql("DELETE FROM orders_invoiceline WHERE invoice_id = %s", invoice.pk))
    refused(sql("DELETE FROM orders_invoicetax WHERE invoice_id = %s", invoice.pk))
    stored = document_add(b"x", file_name="x.pdf", media_type="a/b", at=NOW)
    assert Invoice.objects.filter(pk=invoice.pk, pdf=None).update(pdf=stored) == 1
    refused(lambda: mine.update(pdf=None))


def test_the_triggers_come_and_go_with_the_first_migration(tmp_path: Path) -> None:
    """That they go and come with all later ones is tested with the backup of an earlier version."""
    with RealDatabase.empty(tmp_path / "first.sqlite3") as database:
        database.manage("migrate", "orders", "0001", "--skip-checks", "--verbosity=0")
        assert trigger_count(database) > 20
        database.manage("migrate", "orders", "zero", "--skip-checks", "--verbosity=0")
        assert trigger_count(database) == 0


@pytest.mark.postgres
@pytest.mark.parametrize("table", sorted({table for table, _ in tables(apps)}))
def test_no_table_of_immutable_rows_is_emptied(table: str) -> None:
    refused(sql(f"TRUNCATE {table} CASCADE"))
