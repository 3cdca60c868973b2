"""The written procedure as a PDF: asked for on its page, written by the outbox, kept for some days."""

from datetime import date, datetime
from typing import IO, Any

from django.db import transaction

from catalog.kitchen.selectors import local_day
from catalog.outbox.models import Outbox
from orders.documents.models import PreparedFile
from orders.documents.pdf import pdf_of
from orders.documents.prepared import prepared_ask, prepared_write
from orders.production.procedure import procedure
from orders.production.procedure_content import file_title, procedure_content

TEMPLATE = "orders/production/procedure/pdf.html"


@transaction.atomic(durable=True)
def procedure_file_ask(*, by: str, at: datetime) -> PreparedFile:
    """Request the procedure as a PDF, as it stands when it is written."""
    today = local_day(at)
    return prepared_ask(
        kind="procedure_file",
        facts={"today": today.isoformat()},
        file_name=f"procedure-{today:%Y-%m-%d}.pdf",
        media_type="application/pdf",
        summary=file_title(today),
        by=by,
        at=at,
    )


def procedure_file_write(*, row: Outbox, at: datetime) -> None:
    """Write the procedure as a PDF, for the outbox."""
    prepared_write(row=row, write=_write, at=at)


def _write(out: IO[bytes], file: PreparedFile) -> None:
    found = procedure()
    context: dict[str, Any] = {
        "procedure": procedure_content(found),
        "home": found.kitchen,
        "today": date.fromisoformat(file.facts["today"]),
    }
    out.write(pdf_of(TEMPLATE, context, what=file.file_name))
