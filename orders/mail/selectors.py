"""The mails sent about quotes and invoices."""

from dataclasses import dataclass

from django.core.paginator import Page, Paginator

from catalog.outbox.models import Outbox

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


def _quote_of(row: Outbox) -> int | None:
    kind, _, number = row.about.partition(":")
    return int(number) if kind == "quote" and number.isdigit() else None
