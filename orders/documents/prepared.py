"""Files prepared on request: asked for in a request, written by the outbox, looked for by the page that waits for them.

What a file is made of is in its row; a handler of the outbox writes it with `prepared_write()`. They are no issued
documents: each can be asked for again, and is deleted after some days (``orders.personal_data.retention``).
"""

import hashlib
from collections.abc import Callable, Mapping
from datetime import datetime
from functools import partial
from tempfile import TemporaryFile
from typing import IO, Any

from django.db import transaction

from catalog.kitchen.selectors import kitchen
from catalog.outbox.models import Outbox
from catalog.outbox.services import outbox_add
from catalog.web import display
from orders.documents.models import PreparedFile, PreparedPart
from orders.documents.selectors import prepared_about
from orders.documents.store import PART

#: Writes a file from its row.
Writer = Callable[[IO[bytes], PreparedFile], None]


def prepared_ask(
    *, kind: str, facts: Mapping[str, Any], file_name: str, media_type: str, summary: str, by: str, at: datetime
) -> PreparedFile:
    """Request a file in the caller's transaction; ``summary`` is for the owner's list of mails and files."""
    file = PreparedFile.objects.create(
        kind=kind, facts=dict(facts), file_name=file_name, media_type=media_type, asked_by=by, asked_at=at
    )
    outbox_add(kind=kind, payload={"file": file.pk}, about=prepared_about(file.pk), summary=summary, at=at)
    return file


def prepared_write(*, row: Outbox, write: Writer, at: datetime) -> None:
    """Write the file that a row of the outbox names; nothing when it is there, or was deleted meanwhile.

    It is written with the kitchen's display settings, outside a transaction, and never whole in memory.
    """
    file = PreparedFile.objects.filter(pk=row.payload["file"], ready_at=None).first()
    if file is None:
        return
    with TemporaryFile() as out:
        with display.kitchen_display(kitchen()):
            write(out, file)
        out.seek(0)
        digest = hashlib.file_digest(out, "sha256").hexdigest()
        out.seek(0)
        _stored(file, out, digest, at)


@transaction.atomic(durable=True)
def _stored(file: PreparedFile, out: IO[bytes], sha256: str, at: datetime) -> None:
    """Store the bytes once: of two concurrent writings the second stores nothing."""
    if not PreparedFile.objects.select_for_update().filter(pk=file.pk, ready_at=None).exists():
        return
    for position, body in enumerate(iter(partial(out.read, PART), b"")):
        PreparedPart.objects.create(file=file, position=position, body=body)
    PreparedFile.objects.filter(pk=file.pk).update(sha256=sha256, ready_at=at)
