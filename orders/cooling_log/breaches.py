"""Breaches: what of an order broke the cooling rule, by an edit of the catalog, while it may have been in the making.

At an approval nothing breaks the rule without the owner's record, which marks it until it is measured. What an edit
breaks later is marked while it stands; the order's history holds it, so that another edit does not take the mark away.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any, Final

from catalog.recipes.perishables import recipe_room_safe
from costing.contract import Book
from orders.cooling_log.models import CoolingRecord
from orders.quotes.cooling.selectors import NO_SOURCE, Broken, Item
from orders.quotes.models import CoolingOverride
from orders.records.models import AuditEntry

#: The event of the order's history.
BREACHED: Final = "cooling_breached"
#: The owner says that nothing of it was made by the steps that broke the rule.
DISMISSED: Final = "cooling_dismissed"


@dataclass(frozen=True, slots=True)
class Breach:
    """A dessert or batch that broke the rule: its name, why, in how many vessels it stood, and when it was found.

    ``recipe`` is the code of the recipe whose source was missing, where that is why. ``orders`` are the keys of all
    orders a batch was made for at once, where it broke the rule only so: what was measured for one of them is of it.
    """

    item: Item
    name: str
    why: str
    parts: int
    at: datetime
    recipe: str = ""
    orders: tuple[int, ...] = ()


#: Key of an order -> what of it breached, as first found.
Breaches = Mapping[int, Mapping[Item, Breach]]


def breaches_of(orders: Iterable[int]) -> Breaches:
    """Return what the histories of some orders say and nobody dismissed since, in one query."""
    found: dict[int, dict[Item, Breach]] = {}
    events = (BREACHED, DISMISSED)
    entries = AuditEntry.objects.filter(document="order", document_pk__in=list(orders), event__in=events).order_by("pk")
    for entry in entries:
        if entry.event == DISMISSED:
            found.get(entry.document_pk, {}).pop(Item(entry.params["kind"], entry.params["pk"]), None)
            continue
        for row in entry.params["items"]:
            item = Item(row["kind"], row["pk"])
            breach = Breach(item, row["name"], row["why"], row["parts"], entry.at, row["recipe"], _orders(row))
            found.setdefault(entry.document_pk, {}).setdefault(item, breach)
    return found


def _orders(row: Mapping[str, Any]) -> tuple[int, ...]:
    """Return the orders of a common batch; entries of before they were noted have none."""
    return tuple(row.get("orders", ()))


def breach_stands(breach: Breach, book: Book | None) -> bool:
    """Return whether a breach stands: a source that is entered later is about what was made before as well."""
    if not breach.recipe or book is None:
        return True
    return not recipe_room_safe(breach.recipe, book)


def breach_params(found: Iterable[Broken], together: Mapping[Item, Iterable[int]]) -> dict[str, Any]:
    """Return what is written into the history; ``together`` are the orders of common batches, by item."""
    return {"items": [_item_params(one) | {"orders": sorted(together.get(one.item, ()))} for one in found]}


def _item_params(one: Broken) -> dict[str, Any]:
    about = {"kind": one.item.kind, "pk": one.item.pk, "name": one.name, "why": one.why, "parts": one.parts}
    recipe = one.missing.thing if one.missing is not None and one.why == NO_SOURCE else ""
    return {**about, "recipe": recipe}


def batch_name(
    one: Broken | None, rows: Sequence[CoolingRecord], override: CoolingOverride | None, breach: Breach | None
) -> str:
    """Return what a batch is called: by the Book, as it was measured, or as the owner named it or it was noted."""
    if one is not None:
        return one.name
    if rows:
        return rows[-1].item
    if override is not None:
        return str(override.recipe)
    return "" if breach is None else breach.name
