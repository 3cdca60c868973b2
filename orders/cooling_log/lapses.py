"""Lapses: what of an order broke the cooling rule, by an edit of the catalog, while it may have been in the making.

At an approval nothing breaks the rule without the owner's record, which marks it until it is measured. What an edit
breaks later is marked while it stands; the order's history holds it, so that another edit does not take the mark away.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any, Final

from orders.quotes.cooling.selectors import Broken, Item
from orders.records.models import AuditEntry

#: The event of the order's history.
LAPSED: Final = "cooling_lapsed"


@dataclass(frozen=True, slots=True)
class Lapse:
    """A dessert or batch that broke the rule: its name, why, in how many vessels it stood, and when it was found."""

    item: Item
    name: str
    why: str
    parts: int
    at: datetime


#: Key of an order -> what of it lapsed, as first found.
Lapses = Mapping[int, Mapping[Item, Lapse]]


def lapses_of(orders: Iterable[int]) -> Lapses:
    """Return what the histories of some orders say, in one query."""
    found: dict[int, dict[Item, Lapse]] = {}
    entries = AuditEntry.objects.filter(document="order", document_pk__in=list(orders), event=LAPSED).order_by("pk")
    for entry in entries:
        for row in entry.params["items"]:
            item = Item(row["kind"], row["pk"])
            lapse = Lapse(item, row["name"], row["why"], row["parts"], entry.at)
            found.setdefault(entry.document_pk, {}).setdefault(item, lapse)
    return found


def lapse_params(found: Iterable[Broken]) -> dict[str, Any]:
    """Return what is written into the history."""
    return {
        "items": [
            {"kind": one.item.kind, "pk": one.item.pk, "name": one.name, "why": one.why, "parts": one.parts}
            for one in found
        ]
    }
