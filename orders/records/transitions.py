"""The one way to move a document from status to status."""

from collections.abc import Callable, Mapping
from datetime import datetime
from typing import Any

from django.db import models

from orders.invoices.models import Invoice
from orders.orders.models import Order
from orders.quotes.models import Quote
from orders.records.errors import ChangedMeanwhile, TransitionNotAllowed
from orders.records.models import AuditEntry
from orders.records.states import INVOICE_TRANSITIONS, ORDER_TRANSITIONS, QUOTE_TRANSITIONS, Table

StatusDocument = Quote | Order | Invoice

_TABLES: Mapping[type[models.Model], Table] = {
    Quote: QUOTE_TRANSITIONS,
    Order: ORDER_TRANSITIONS,
    Invoice: INVOICE_TRANSITIONS,
}


def allowed_events(document: StatusDocument) -> frozenset[str]:
    """Return the events the document's status allows."""
    return frozenset(_TABLES[type(document)][document.status])


def transition(
    document: StatusDocument,
    event: str,
    *,
    by: str,
    at: datetime,
    guard: Callable[[], None] | None = None,
    note: str = "",
    **changes: Any,
) -> None:
    """Move the document by the event and write ``changes`` with it; call inside a transaction.

    The write is conditional on the status read before, so of two movers one wins on every database.

    Raises
    ------
    TransitionNotAllowed
        If the status does not allow the event.
    ChangedMeanwhile
        If another writer moved the document first.
    OrderError
        Whatever ``guard`` raises: its own reason.
    """
    before = document.status
    after = _TABLES[type(document)][before].get(event)
    if after is None:
        raise TransitionNotAllowed(what=str(document), status=before, event=event)
    if guard is not None:
        guard()
    rows = type(document)._default_manager.filter(pk=document.pk, status=before).update(status=after, **changes)
    if rows != 1:
        raise ChangedMeanwhile(what=str(document))
    for name, value in {"status": after, **changes}.items():
        setattr(document, name, value)
    audit(document, event, before=before, after=after, by=by, at=at, note=note)


def audit(
    document: models.Model,
    event: str,
    *,
    by: str,
    at: datetime,
    before: str = "",
    after: str = "",
    note: str = "",
) -> None:
    """Write who did what to which document."""
    AuditEntry.objects.create(
        document=document._meta.model_name or "",
        document_pk=document.pk,
        event=event,
        before=before,
        after=after,
        by=by,
        at=at,
        note=note,
    )
