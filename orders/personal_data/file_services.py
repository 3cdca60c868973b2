"""The export of a person as a file: asked for on the page, written by the outbox, kept for some days."""

from datetime import datetime
from functools import partial
from typing import IO

from django.db import transaction

from catalog.outbox.models import Outbox
from orders.documents.models import PreparedFile
from orders.documents.prepared import prepared_ask, prepared_write
from orders.inquiries.models import Customer
from orders.personal_data.export_content import export_title
from orders.personal_data.files import MEDIA_TYPE, subject_zip, zip_name
from orders.personal_data.selectors import DataSubject, subject_of
from orders.personal_data.services import export_noted


@transaction.atomic(durable=True)
def subject_file_ask(*, customer_id: int, by: str, at: datetime) -> PreparedFile:
    """Request everything stored about a customer as a file, and write down who did.

    Raises Customer.DoesNotExist.
    """
    subject = DataSubject(Customer.objects.select_for_update().get(pk=customer_id))
    export_noted(subject, by=by, at=at)
    return prepared_ask(
        kind="subject_file",
        facts={"customer": customer_id},
        file_name=zip_name(subject),
        media_type=MEDIA_TYPE,
        summary=export_title(subject),
        by=by,
        at=at,
    )


def subject_file_write(*, row: Outbox, at: datetime) -> None:
    """Write the file of a customer's data, for the outbox. Erasing the customer deletes it, written or not."""
    prepared_write(row=row, write=partial(_write_subject, at=at), at=at)


def _write_subject(out: IO[bytes], file: PreparedFile, *, at: datetime) -> None:
    subject_zip(out, subject_of(file.facts["customer"]), at=at)
