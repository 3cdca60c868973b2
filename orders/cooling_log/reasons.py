"""The owner's reasons why what breaks the rule only as one batch for several orders is made so, from the histories."""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from typing import Any, Final

from orders.cooling_log.together import Together
from orders.quotes.cooling.shared import Given, Void
from orders.records.models import AuditEntry

#: The event of an order's history: the owner said why a common batch is made all the same, and how it is measured.
REASON_GIVEN: Final = "made_together"


@dataclass(frozen=True, slots=True)
class Recorded:
    """A reason as it was recorded: of which batch, with the mark of its steps and verdict, its size and orders.

    ``document`` is the key of the order or quote it was recorded for. ``mark`` is empty, and ``grams`` too, in
    histories from before these were written down: then the orders count alone.
    """

    entry: int
    document: int
    reason: str
    by: str
    at: datetime
    orders: frozenset[int]
    numbers: tuple[str, ...]
    mark: str
    grams: str

    @property
    def given(self) -> Given:
        """The words, and whose they are."""
        return Given(self.reason, self.by, self.at, self.entry)


#: Key of a recipe -> the reasons recorded for it, the latest last.
Reasons = Mapping[int, Sequence[Recorded]]


def reasons_of(document: str, keys: Iterable[int]) -> Reasons:
    """Return the reasons that the histories of some orders, or of some quotes, have, by batch; one query."""
    entries = AuditEntry.objects.filter(document=document, document_pk__in=set(keys), event=REASON_GIVEN)
    found: dict[int, list[Recorded]] = defaultdict(list)
    for entry in entries.order_by("pk"):
        for row in entry.params["items"]:
            found[row["pk"]].append(_recorded(entry, row))
    return found


def _recorded(entry: AuditEntry, row: Mapping[str, Any]) -> Recorded:
    return Recorded(
        entry=entry.pk,
        document=entry.document_pk,
        reason=entry.note,
        by=entry.by,
        at=entry.at,
        orders=frozenset(row["orders"]),
        numbers=tuple(row.get("numbers", ())),
        mark=row.get("mark", ""),
        grams=row.get("grams", ""),
    )


def reason_item(found: Together, orders: Iterable[int], numbers: Iterable[str]) -> dict[str, Any]:
    """Return what a history writes down of the batch that a reason is for; ``orders`` are the keys it counts for."""
    one = found.broken
    return {
        "pk": one.item.pk,
        "name": one.name,
        "orders": sorted(orders),
        "numbers": list(numbers),
        "mark": one.mark,
        "grams": str(one.grams),
    }


def in_force(found: Together, orders: frozenset[int], recorded: Sequence[Recorded]) -> Recorded | None:
    """Return the latest reason that is of just these orders, steps, amounts and verdict; None without one."""
    return next(
        (one for one in reversed(recorded) if one.orders == orders and one.mark in ("", found.broken.mark)), None
    )


def given_by_all(found: Together, orders: frozenset[int], recorded: Sequence[Recorded]) -> Given | None:
    """Return the latest reason that counts; with those of the other orders, each by its number, where they differ."""
    latest = in_force(found, orders, recorded)
    if latest is None:
        return None
    each = {one.document: one.reason for one in recorded if in_force(found, orders, [one]) is not None}
    if len(set(each.values())) == 1:
        return latest.given
    words = (f"{order.number}: {each[order.pk].rstrip('.')}" for order in found.orders if order.pk in each)
    return replace(latest.given, reason="; ".join(words))


def out_of_force(found: Together, orders: frozenset[int], recorded: Sequence[Recorded], own: int | None) -> Void | None:
    """Return the latest reason for a batch that counts no more, and by what; ``own`` is the order it has to be of.

    None where there is none, or one counts.
    """
    if in_force(found, orders, recorded) is not None:
        return None
    of_batch = [one for one in recorded if own is None or own in one.orders]
    if not of_batch:
        return None
    last = of_batch[-1]
    if last.orders != orders:
        return Void(last.given, "orders", last.numbers)
    return Void(last.given, "amount" if last.grams != str(found.broken.grams) else "steps")
