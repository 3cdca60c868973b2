"""The hash of an issued document changes with everything the document says, and with nothing else."""

import hashlib
import json
from datetime import UTC, date, datetime
from typing import Any

import pytest
from django.db import models

from orders.invoices.content import content_hash
from orders.invoices.models import Invoice, InvoiceLine, InvoiceTax
from orders.invoices.services import invoice_draft, invoice_issue
from tests.factories import BY
from tests.integration.orders.builders import LATER, credit, invoice_make, order_make

pytestmark = pytest.mark.django_db

#: What a document says beside its rows, with another value for each.
CONTENT_FIELDS: dict[str, Any] = {
    "id": 0,
    "order_id": 0,
    "kind": "381",
    "number": "I-99999",
    "credits_id": 0,
    "reason": "Another reason.",
    "issued_on": date(2030, 1, 1),
    "issued_by": "somebody else",
    "supply_on": date(2030, 1, 1),
    "due_on": date(2030, 1, 1),
    "currency": "CAD",
    "prices": "gross",
    "seller": {"name": "Another kitchen"},
    "buyer": {"name": "Another customer"},
    "note": "Another note.",
    "net_minor": 1,
    "tax_minor": 1,
    "total_minor": 1,
    "prepaid_minor": 1,
    "due_minor": 1,
}
#: What happens to a document, or stands beside it: no part of what it says.
BESIDE: dict[str, Any] = {
    "status": "paid",
    "created_at": datetime(2030, 1, 1, tzinfo=UTC),
    "issued_at": datetime(2030, 1, 1, tzinfo=UTC),
    "content_sha256": "0" * 64,
    "pdf_id": 0,
    "next_on": date(2030, 1, 1),
    "settles_id": 0,
    "charges_cancellation": True,
    "idempotency_key": "k" * 32,
}
LINE_FIELDS: dict[str, Any] = {
    "kind": "charge",
    "position": 99,
    "name": "Another name",
    "quantity": "0.5",
    "unit_code": "KGM",
    "unit_price_minor": 1,
    "amount_minor": 1,
    "net_minor": 1,
    "tax_code": "another",
    "tax_name": "Another tax",
    "untdid": "Z",
    "rate": "0.5",
}
TAX_FIELDS: dict[str, Any] = {
    "position": 99,
    "tax_code": "another",
    "tax_name": "Another tax",
    "untdid": "Z",
    "exempt_reason": "Another reason.",
    "rate": "0.5",
    "taxable_minor": 1,
    "tax_minor": 1,
}


def columns(model: type[models.Model]) -> set[str]:
    return {field.attname for field in model._meta.concrete_fields}


def test_of_every_column_it_is_known_whether_the_document_says_it() -> None:
    assert columns(Invoice) == CONTENT_FIELDS.keys() | BESIDE.keys()
    assert columns(InvoiceLine) == LINE_FIELDS.keys() | {"id", "invoice_id", "credits_id"}
    assert columns(InvoiceTax) == TAX_FIELDS.keys() | {"id", "invoice_id"}


def test_an_issued_document_carries_the_hash_of_what_it_says() -> None:
    invoice = invoice_make(order_make())
    for document in (invoice, credit(invoice)):
        stored = Invoice.objects.get(pk=document.pk)
        assert content_hash(stored, {}) == stored.content_sha256 == document.content_sha256
        assert len(stored.content_sha256) == 64


def test_the_hash_is_of_this_text_now_and_in_ten_years() -> None:
    """Sorted keys, no spaces, UTF-8: the hash printed on a document has to come out again from the rows."""
    draft = invoice_draft(order_id=order_make(title="Ida & Zoë").pk, by=BY, at=LATER)
    draft.lines.filter(position=0).update(name="Crème, gâteau")
    invoice = Invoice.objects.get(pk=invoice_issue(invoice_id=draft.pk, by=BY, at=LATER).pk)
    body = {
        "document": {name: getattr(invoice, name) for name in CONTENT_FIELDS},
        "lines": [{name: getattr(row, name) for name in (*LINE_FIELDS, "credits_id")} for row in invoice.lines.all()],
        "taxes": [{name: getattr(row, name) for name in TAX_FIELDS} for row in invoice.taxes.all()],
    }
    text = json.dumps(body, sort_keys=True, separators=(",", ":"), ensure_ascii=False, default=str)
    assert "Crème" in text
    assert '"amount_minor":' in text
    assert hashlib.sha256(text.encode()).hexdigest() == invoice.content_sha256


@pytest.mark.parametrize("name", CONTENT_FIELDS)
def test_anything_else_on_the_document_gives_another_hash(name: str) -> None:
    invoice = Invoice.objects.get(pk=invoice_make(order_make()).pk)
    assert content_hash(invoice, {name: CONTENT_FIELDS[name]}) != invoice.content_sha256


@pytest.mark.parametrize("name", BESIDE)
def test_what_happens_to_the_document_later_leaves_its_hash(name: str) -> None:
    invoice = Invoice.objects.get(pk=invoice_make(order_make()).pk)
    assert content_hash(invoice, {name: BESIDE[name]}) == invoice.content_sha256


@pytest.fixture
def draft() -> Invoice:
    return invoice_draft(order_id=order_make().pk, by=BY, at=LATER)


@pytest.mark.parametrize("name", LINE_FIELDS)
def test_anything_else_in_a_row_gives_another_hash(name: str, draft: Invoice) -> None:
    before = content_hash(draft, {})
    draft.lines.filter(position=0).update(**{name: LINE_FIELDS[name]})
    assert content_hash(draft, {}) != before


@pytest.mark.parametrize("name", TAX_FIELDS)
def test_anything_else_in_a_tax_gives_another_hash(name: str, draft: Invoice) -> None:
    before = content_hash(draft, {})
    draft.taxes.filter(position=0).update(**{name: TAX_FIELDS[name]})
    assert content_hash(draft, {}) != before


def test_another_row_that_is_taken_back_gives_another_hash(draft: Invoice) -> None:
    before = content_hash(draft, {})
    first, second = draft.lines.all()[:2]
    InvoiceLine.objects.filter(pk=first.pk).update(credits=second)
    assert content_hash(draft, {}) != before


def test_one_row_or_tax_less_gives_another_hash(draft: Invoice) -> None:
    hashes = [content_hash(draft, {})]
    for rows in (draft.lines.all(), draft.taxes.all()):
        rows[len(rows) - 1].delete()
        hashes.append(content_hash(draft, {}))
    assert len(set(hashes)) == 3
