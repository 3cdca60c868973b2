"""The mails sent about quotes and invoices."""

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Final

from django.conf import settings
from django.core.paginator import Page, Paginator

from catalog.outbox.models import Outbox
from orders.records.models import AuditEntry

#: Where mail goes while no server is named: files.
_TO_FILES: Final = "django.core.mail.backends.filebased.EmailBackend"

MAILS_A_PAGE = 50


@dataclass(frozen=True, slots=True)
class MailRow:
    """A mail (or file) of the outbox, and the quote it is about."""

    row: Outbox
    quote_id: int | None

    @property
    def failed(self) -> bool:
        """Whether its last attempt failed."""
        return self.row.status == Outbox.Status.FAILED


def mails(*, show: str, page: str | int) -> Page[MailRow]:
    """Return mails and files, the latest first; ``show`` is ``failed``, ``waiting`` or anything else for all."""
    rows = Outbox.objects.order_by("-pk")
    if show == "failed":
        rows = rows.filter(status=Outbox.Status.FAILED)
    if show == "waiting":
        rows = rows.filter(status__in=[Outbox.Status.WAITING, Outbox.Status.RUNNING])
    listed = Paginator(rows, MAILS_A_PAGE).get_page(page)
    rows_shown = [MailRow(row, _quote_of(row)) for row in listed.object_list]
    listed.object_list = rows_shown  # type: ignore[assignment]  # the page shows mails, not rows
    return listed  # type: ignore[return-value]  # as above


def mail_leaves() -> bool:
    """Return whether a mail server is named; without one, mails are written to files."""
    return settings.EMAIL_BACKEND != _TO_FILES


def not_needed(rows: Iterable[Outbox]) -> set[int]:
    """Return the keys of the rows whose mail was not sent because it would have been wrong by then."""
    done = {(row.about, row.done_at): row.pk for row in rows if row.done_at is not None}
    moments = {moment for _, moment in done}
    noted = AuditEntry.objects.filter(event__endswith="_not_needed", at__in=moments) if moments else ()
    keys = (done.get((f"{entry.document}:{entry.document_pk}", entry.at)) for entry in noted)
    return {key for key in keys if key is not None}


def mails_about(*documents: str) -> list[Outbox]:
    """Return the mails and files asked for about documents, such as ``quote:12``, in their order."""
    asked = Outbox.objects.filter(about__in=documents).exclude(kind__in=settings.OUTBOX_LANES["plans"]["kinds"])
    return list(asked.order_by("pk"))


def _quote_of(row: Outbox) -> int | None:
    kind, _, number = row.about.partition(":")
    return int(number) if kind == "quote" and number.isdigit() else None
