"""Whether a customer knows of allergens that are new in an order since it was approved, and how needs recorded since
are served: what is open, who wrote to them or called them, and when.
"""

from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Final, Literal

from catalog.outbox.models import Outbox
from catalog.pantry.allergens import covered
from catalog.records.versions import version_mark
from orders.documents.content import NeedServed
from orders.inquiries.services import TAKEN_OFF
from orders.quotes.draft.allergens import LabelChange, SinceQuote
from orders.records.models import AuditEntry

#: The event of the order's history that records it.
INFORMED: Final = "allergens_informed"
Way = Literal["mail", "phone"]

#: A dessert's product, a code, and how bad it is: whoever knows of the worse knows of the lesser. Of a need that the
#: approved quote does not answer there is no product, and the code is the need's.
Part = tuple[str, str, int]
_GONE, _UNCHECKED, _MAY, _CONTAINS = 0, 1, 2, 3


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
class TakenOff:
    """A need that the customer was told of and that the inquiry does not have any more, and when; None if unknown."""

    need: str
    reported_at: datetime
    guests: int | None = None
    at: datetime | None = None


@dataclass(frozen=True, slots=True)
class Informing:
    """What a customer does not know of yet, and the records of what they do; ``mark`` stands for the former.

    ``open`` are changes of desserts, ``needs`` those recorded since that the approved quote does not answer,
    ``taken_off`` those of them that the customer was told of and that are recorded no more.
    """

    open: tuple[LabelChange, ...] = ()
    records: tuple[Informed, ...] = ()
    needs: tuple[NeedServed, ...] = ()
    taken_off: tuple[TakenOff, ...] = ()

    @property
    def waits(self) -> bool:
        """Whether anything is still to be reported to the customer."""
        return bool(self.open or self.needs or self.taken_off)

    @property
    def mark(self) -> str:
        """A digest of what is open, so that nobody records that they reported what they did not read."""
        return version_mark(sorted(parts_of(self.open, self.needs, self.taken_off)))


NOBODY_TO_INFORM: Final = Informing()


def informing(since: Mapping[int, SinceQuote]) -> dict[int, Informing]:
    """Return for some orders, by key, what changed and whether their customers know; two queries, one without mails."""
    known = {pk: one for pk, one in since.items() if one.changes or one.unanswered or one.asked is not None}
    records, gone = _recorded(known) if known else ({}, {})
    found = dict.fromkeys(since, NOBODY_TO_INFORM)
    for pk, one in known.items():
        rows = records[pk]
        off = _taken_off(rows, gone[pk], one.asked or ())
        if one.changes or one.unanswered or off:
            found[pk] = Informing(still_open(one.changes, rows), rows, needs_open(one.unanswered, rows), off)
    return found


def _taken_off(
    records: Iterable[Informed], gone: Mapping[str, tuple[datetime, int | None]], asked: Iterable[str]
) -> tuple[TakenOff, ...]:
    stand = [covered(code) for code in asked]
    known = _needs_known(records)
    lost = {need: at for need, at in known.items() if not any(covered(need) <= codes for codes in stand)}
    return tuple(_lost(need, reported_at, gone) for need, reported_at in lost.items())


def _lost(need: str, reported_at: datetime, gone: Mapping[str, tuple[datetime, int | None]]) -> TakenOff:
    if need not in gone:
        return TakenOff(need, reported_at)
    at, count = gone[need]
    return TakenOff(need, reported_at, count, at)


def informed(orders: Collection[int]) -> dict[int, tuple[Informed, ...]]:
    """Return what is recorded of some orders, the earliest first."""
    return _recorded(orders)[0]


#: Need -> when it was taken off, and for how many guests it had been.
_Gone = dict[str, tuple[datetime, int | None]]


def _recorded(orders: Collection[int]) -> tuple[dict[int, tuple[Informed, ...]], dict[int, _Gone]]:
    events = (INFORMED, TAKEN_OFF)
    rows = AuditEntry.objects.filter(document="order", document_pk__in=orders, event__in=events).order_by("pk")
    entries, gone = [], dict[int, _Gone]()
    for pk in orders:
        gone[pk] = {}
    for entry in rows:
        if entry.event == INFORMED:
            entries.append(entry)
        else:
            gone[entry.document_pk] |= {need: (entry.at, count) for need, count in entry.params["needs"].items()}
    mails = [entry.params["mail"] for entry in entries if "mail" in entry.params]
    statuses = dict(Outbox.objects.filter(pk__in=mails).values_list("pk", "status")) if mails else {}
    found: dict[int, list[Informed]] = {pk: [] for pk in orders}
    for entry in entries:
        parts = frozenset((product, code, rank) for product, code, rank in entry.params["parts"])
        status = statuses.get(entry.params.get("mail"), "")
        found[entry.document_pk].append(Informed(entry.params["way"], entry.by, entry.at, entry.note, parts, status))
    return {pk: tuple(rows) for pk, rows in found.items()}, gone


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
    known = _needs_known(records)
    return tuple(need for need in needs if need.need not in known)


def taken_off_open(taken_off: Iterable[TakenOff], records: Iterable[Informed]) -> tuple[TakenOff, ...]:
    """Return the needs taken off of which the customer does not know it."""
    known = _needs_known(records)
    return tuple(one for one in taken_off if one.need in known)


def _needs_known(records: Iterable[Informed]) -> dict[str, datetime]:
    """Return the needs that a customer was told of and not that they are taken off, each with when."""
    known: dict[str, datetime] = {}
    for record in records:
        for product, code, rank in record.parts if record.counts else ():
            if not product and rank == _GONE:
                known.pop(code, None)
            elif not product:
                known[code] = record.at
    return known


def _known(records: Iterable[Informed]) -> dict[tuple[str, str], int]:
    known: dict[tuple[str, str], int] = {}
    for record in records:
        if record.counts:
            for product, code, rank in record.parts:
                known[product, code] = max(rank, known.get((product, code), 0))
    return known


def parts_of(
    changes: Iterable[LabelChange], needs: Iterable[NeedServed] = (), taken_off: Iterable[TakenOff] = ()
) -> list[Part]:
    """Return each allergen of some changes for itself, and each need, recorded or taken off."""
    of_needs: list[Part] = [("", need.need, _CONTAINS) for need in needs]
    of_needs += [("", one.need, _GONE) for one in taken_off]
    return of_needs + [
        (change.product, code, rank)
        for change in changes
        for rank, codes in (
            (_CONTAINS, change.contains),
            (_MAY, change.may),
            (_UNCHECKED, (*change.unchecked, *change.diets)),
        )
        for code in codes
    ]
