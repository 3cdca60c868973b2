"""Kitchen sheets that are older than the order: opened, and perhaps printed, before a change that is in force.

That a sheet was opened is written down once for each revision of an order, in its history.
"""

import logging
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime
from typing import Final

from django.db import DatabaseError, transaction

from orders.orders.models import Order
from orders.records.models import AuditEntry
from orders.records.need_errors import SheetsOld
from orders.records.states import OrderStatus
from orders.records.transitions import audit

logger = logging.getLogger(__name__)
#: Event of an order's history: its kitchen sheets were opened, as of a revision.
SHEETS: Final = "sheets"


@dataclass(frozen=True, slots=True)
class OldSheets:
    """The revision that the newest opened sheets are of, when they were opened, and the revision in force."""

    revision: int
    opened_at: datetime
    in_force: int

    @property
    def mark(self) -> str:
        """A mark of it: whoever ticks it has the sheets of just the revision in force."""
        return f"{self.revision}-{self.in_force}"


def sheets_opened(orders: Iterable[Order], *, by: str, at: datetime) -> None:
    """Write down that the sheets of some orders were opened, once for each revision; one query where all is known.

    Where it cannot be written, as on a full disk, the sheet is shown all the same: the kitchen needs it.
    """
    revisions = {order.pk: order for order in orders}
    entries = AuditEntry.objects.filter(document="order", document_pk__in=revisions, event=SHEETS)
    known = {(pk, params["revision"]) for pk, params in entries.values_list("document_pk", "params")}
    opened = [order for pk, order in revisions.items() if (pk, order.quote.revision) not in known]
    try:
        with transaction.atomic():
            for order in opened:
                audit(order, SHEETS, by=by, at=at, params={"revision": order.quote.revision})
    except DatabaseError:
        logger.exception("that kitchen sheets were opened is not written down")


def old_sheets(order: Order) -> OldSheets | None:
    """Return that an order's sheets were opened before the change in force, and not since; None where they are new."""
    if order.status != OrderStatus.CONFIRMED or order.quote.amends_id is None:
        return None
    entries = AuditEntry.objects.filter(document="order", document_pk=order.pk, event=SHEETS).order_by("-pk")
    found = [(params["revision"], at) for params, at in entries.values_list("params", "at")]
    if not found or any(revision == order.quote.revision for revision, _ in found):
        return None
    revision, opened_at = found[0]
    return OldSheets(revision, opened_at, order.quote.revision)


def check_sheets(found: OldSheets | None, seen: str) -> None:
    """Refuse to start on old sheets; ``seen`` is the mark that was ticked.

    Raises SheetsOld.
    """
    if found is not None and found.mark != seen:
        raise SheetsOld(place="sheets_seen", revision=found.revision, in_force=found.in_force)
