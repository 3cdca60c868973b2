"""Stored files: rendered once, stored as bytes with their hash, never rendered again."""

import hashlib
from collections.abc import Callable, Mapping
from datetime import datetime
from functools import partial
from typing import IO, Any, Final

from django.db import models, transaction
from django.utils.translation import gettext

from catalog.kitchen.selectors import kitchen
from catalog.outbox.models import Outbox
from catalog.outbox.services import outbox_add
from catalog.pictures.selectors import printed_bodies
from catalog.web import display
from orders.documents.models import Document, StoredBytes, StoredPart
from orders.documents.pdf import pdf_of

PDF: Final = "application/pdf"


def pdf_ask(*, kind: str, payload: Mapping[str, Any], about: str, what: str, at: datetime) -> Outbox:
    """Request a PDF in the caller's transaction; ``what`` is for the owner's list of mails and files."""
    return outbox_add(
        kind=kind, payload=dict(payload), about=about, summary=gettext("PDF of %(what)s") % {"what": what}, at=at
    )


def pdf_once(
    owner: models.Model,
    *,
    template: str,
    context: Callable[[], dict[str, Any]],
    what: str,
    file_name: str,
    at: datetime,
    with_it: Callable[[], None] | None = None,
) -> Document:
    """Return the PDF in the row's field ``pdf``; if there is none, render it with the kitchen's display settings.

    The context's ``pictures`` are those the template shows. Rendering takes long and is done outside a transaction.
    ``with_it`` runs in the commit that stores a new PDF, or in one of its own when the PDF exists. File names never
    contain user input, so nothing people enter becomes part of a header.

    Raises CannotRender if it cannot be made.
    """
    row: Any = owner
    stored: Document | None = row.pdf
    if stored is not None and with_it is None:
        return stored
    body = b""
    if stored is None:
        with display.kitchen_display(kitchen()):
            found = context()
            body = pdf_of(template, found, what=what, pictures=printed_bodies(found.get("pictures", ())))
    return _stored(row, file_name, body, at, with_it)


@transaction.atomic(durable=True)
def _stored(owner: Any, file_name: str, body: bytes, at: datetime, with_it: Callable[[], None] | None) -> Document:
    """Store the bytes once: of two concurrent renderings the second gets the first one's document."""
    rows = type(owner)._default_manager
    document: Document | None = rows.select_for_update(of=("self",)).select_related("pdf").get(pk=owner.pk).pdf
    if document is None:
        document = document_add(body, file_name=file_name, media_type=PDF, at=at)
        rows.filter(pk=owner.pk, pdf=None).update(pdf=document)
    if with_it is not None:
        with_it()
    return document


def document_add(body: bytes, *, file_name: str, media_type: str, at: datetime) -> Document:
    """Store the bytes of a file with their hash. It has no transaction of its own."""
    digest = hashlib.sha256(body).hexdigest()
    document = Document.objects.create(sha256=digest, file_name=file_name, media_type=media_type, created_at=at)
    StoredBytes.objects.create(document=document, body=body)
    return document


#: Bytes in a part of a large file: a row that every database reads and writes at once.
PART: Final = 1 << 20


def file_add(file: IO[bytes], *, file_name: str, media_type: str, at: datetime) -> Document:
    """Store a file; a large one in parts, so that it is never whole in memory. It has no transaction of its own."""
    file.seek(0)
    first = file.read(PART + 1)
    if len(first) <= PART:
        return document_add(first, file_name=file_name, media_type=media_type, at=at)
    file.seek(0)
    sha256 = hashlib.file_digest(file, "sha256").hexdigest()  # type: ignore[arg-type]  # any open file
    file.seek(0)
    document = Document.objects.create(sha256=sha256, file_name=file_name, media_type=media_type, created_at=at)
    for position, body in enumerate(iter(partial(file.read, PART), b"")):
        StoredPart.objects.create(document=document, position=position, body=body)
    return document
