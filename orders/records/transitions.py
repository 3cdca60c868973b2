"""The only function that changes a document's status, and the audit trail."""

from collections.abc import Callable, Mapping, Sequence
from datetime import datetime
from typing import Any

from django.db import models

from orders.records.errors import ChangedMeanwhile, TransitionNotAllowed
from orders.records.models import AuditEntry, StatusDocument


def allowed_events(document: StatusDocument) -> frozenset[str]:
    """Return the events the document's status allows."""
    return frozenset(document.TRANSITIONS[document.status])


def transition(
    document: StatusDocument,
    event: str,
    *,
    by: str,
    at: datetime,
    guard: Callable[[], None] | None = None,
    note: str = "",
    params: Mapping[str, Any] | None = None,
    **changes: Any,
) -> None:
    """Change the document's status by the event and write ``changes`` with it; call inside a transaction.

    The update is conditional on the status read before, so of two writers one wins on every database. ``note`` is a
    person's text about it, ``params`` are values for the history; see :func:`audit`.

    Raises
    ------
    TransitionNotAllowed
        If the status does not allow the event.
    ChangedMeanwhile
        If another writer changed the status first.
    OrderError
        Whatever ``guard`` raises.
    """
    before = document.status
    after = document.TRANSITIONS[before].get(event)
    if after is None:
        raise TransitionNotAllowed(what=str(document), status=before, event=event)
    if guard is not None:
        guard()
    rows = type(document)._default_manager.filter(pk=document.pk, status=before).update(status=after, **changes)
    if rows != 1:
        raise ChangedMeanwhile(what=str(document))
    for name, value in {"status": after, **changes}.items():
        setattr(document, name, value)
    audit(document, event, before=before, after=after, by=by, at=at, note=note, params=params)


def audit(
    document: models.Model,
    event: str,
    *,
    by: str,
    at: datetime,
    before: str = "",
    after: str = "",
    note: str = "",
    params: Mapping[str, Any] | None = None,
) -> None:
    """Write who did what to which document.

    ``by`` is a user or one of ``orders.records.actors``, ``event`` a code; ``params`` are plain values of JSON that a
    presenter writes out.
    """
    AuditEntry.objects.create(
        document=document._meta.model_name or "",
        document_pk=document.pk,
        event=event,
        before=before,
        after=after,
        by=by,
        at=at,
        note=note,
        params=dict(params or {}),
    )


def audit_many(documents: Sequence[models.Model], event: str, *, by: str, at: datetime) -> None:
    """Write one and the same event of many documents, in few statements."""
    AuditEntry.objects.bulk_create(
        (
            AuditEntry(document=one._meta.model_name or "", document_pk=one.pk, event=event, by=by, at=at, params={})
            for one in documents
        ),
        batch_size=500,
    )
