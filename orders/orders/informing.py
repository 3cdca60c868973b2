"""Whether a customer knows of allergens that are new in an order since it was approved, and how needs recorded since
are served: what is open, who wrote to them or called them, and when.
"""

from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Final, Literal

from catalog.outbox.models import Outbox
from catalog.records.versions import version_mark
from orders.documents.content import NeedServed
from orders.quotes.draft.allergens import LabelChange, SinceQuote
from orders.records.models import AuditEntry

#: The event of the order's history that records it.
INFORMED: Final = "allergens_informed"
Way = Literal["mail", "phone"]

#: A dessert's product, a code, and how bad it is: whoever knows of the worse knows of the lesser. Of a need that the
#: approved quote does not answer there is no product, and the code is the need's.
Part = tuple[str, str, int]
_UNCHECKED, _MAY, _CONTAINS = 1, 2, 3


@dataclass(frozen=True, slots=True)
class Informed:
    """One record: by mail or by phone, by whom, when, of which changes.

    ``mail`` is the status of the mail; empty for a call, and of a mail whose row was cleared away after it was sent.
    """

    way: str
    by: str
    at: datetime
    note: str
    parts: frozenset[Part]
    mail: str = ""

    @property
    def counts(self) -> bool:
        """Whether it stands: a mail that could not be sent informed nobody."""
        return self.mail != Outbox.Status.FAILED

    @property
    def on_its_way(self) -> bool:
        """Whether its mail has not left yet."""
        return self.mail in (Outbox.Status.WAITING, Outbox.Status.RUNNING)


@dataclass(frozen=True, slots=True)
class Informing:
    """What a customer does not know of yet, and the records of what they do; ``mark`` stands for the former.

    ``open`` are changes of desserts, ``needs`` those recorded since that the approved quote does not answer.
    """

    open: tuple[LabelChange, ...] = ()
    records: tuple[Informed, ...] = ()
    needs: tuple[NeedServed, ...] = ()

    @property
    def waits(self) -> bool:
        """Whether anything is still to be reported to the customer."""
        return bool(self.open or self.needs)

    @property
    def mark(self) -> str:
        """A digest of what is open, so that nobody records that they reported what they did not read."""
        return version_mark(sorted(parts_of(self.open, self.needs)))


NOBODY_TO_INFORM: Final = Informing()


def informing(since: Mapping[int, SinceQuote]) -> dict[int, Informing]:
    """Return for some orders, by key, what changed and whether their customers know; two queries where it did."""
    changed = {pk: one for pk, one in since.items() if one.changes or one.unanswered}
    records = informed(changed) if changed else {}
    found = dict.fromkeys(since, NOBODY_TO_INFORM)
    for pk, one in changed.items():
        rows = records[pk]
        found[pk] = Informing(still_open(one.changes, rows), rows, needs_open(one.unanswered, rows))
    return found


def informed(orders: Collection[int]) -> dict[int, tuple[Informed, ...]]:
    """Return what is recorded of some orders, the earliest first."""
    entries = list(AuditEntry.objects.filter(document="order", document_pk__in=orders, event=INFORMED).order_by("pk"))
    mails = [entry.params["mail"] for entry in entries if "mail" in entry.params]
    statuses = dict(Outbox.objects.filter(pk__in=mails).values_list("pk", "status")) if mails else {}
    found: dict[int, list[Informed]] = {pk: [] for pk in orders}
    for entry in entries:
        parts = frozenset((product, code, rank) for product, code, rank in entry.params["parts"])
        status = statuses.get(entry.params.get("mail"), "")
        found[entry.document_pk].append(Informed(entry.params["way"], entry.by, entry.at, entry.note, parts, status))
    return {pk: tuple(rows) for pk, rows in found.items()}


def still_open(changes: Iterable[LabelChange], records: Iterable[Informed]) -> tuple[LabelChange, ...]:
    """Return the changes that no record covers."""
    known = _known(records)
    return tuple(
        change
        for change in changes
        if any(known.get((product, code), 0) < rank for product, code, rank in parts_of([change]))
    )


def needs_open(needs: Iterable[NeedServed], records: Iterable[Informed]) -> tuple[NeedServed, ...]:
    """Return the needs that no record covers."""
    known = _known(records)
    return tuple(need for need in needs if ("", need.need) not in known)


def _known(records: Iterable[Informed]) -> dict[tuple[str, str], int]:
    known: dict[tuple[str, str], int] = {}
    for record in records:
        if record.counts:
            for product, code, rank in record.parts:
                known[product, code] = max(rank, known.get((product, code), 0))
    return known


def parts_of(changes: Iterable[LabelChange], needs: Iterable[NeedServed] = ()) -> list[Part]:
    """Return each allergen of some changes for itself, and each need."""
    of_needs: list[Part] = [("", need.need, _CONTAINS) for need in needs]
    return of_needs + [
        (change.product, code, rank)
        for change in changes
        for rank, codes in ((_CONTAINS, change.contains), (_MAY, change.may), (_UNCHECKED, change.unchecked))
        for code in codes
    ]
