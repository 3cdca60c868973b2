"""Rows of a price list that could not be used, corrected on its page: they join the others."""

from collections.abc import Sequence
from dataclasses import dataclass

from django.db import transaction

from catalog.price_lists.models import PriceList
from catalog.price_lists.remembered import names_remember
from catalog.price_lists.services import compared
from catalog.price_lists.steps import list_changed, list_to_change

_OPEN = (PriceList.Status.READ, PriceList.Status.APPLIED)


@dataclass(frozen=True, slots=True)
class Correction:
    """A row as corrected. ``add``: an unknown item becomes an ingredient; ``same``: it is the similar one shown."""

    row: int
    item: str
    pack: str
    price: str
    add: bool = False
    same: bool = False


@transaction.atomic(durable=True)
def price_list_correct(
    *, price_list_id: int, seen: int | None, corrections: Sequence[Correction], add_unknown: bool = False
) -> int:
    """Correct rows that were not imported, and compare them again; return how many rows still have problems.

    With ``add_unknown`` every item that is unknown then, and similar to none, becomes a new ingredient.

    Raises
    ------
    PriceListNotReady
        If the list is being read, could not be, was discarded, or was changed since it was shown.
    """
    price_list = list_to_change(price_list_id, seen, _OPEN)
    wanted = {one.row: one for one in corrections}
    lines = [
        _corrected(line, wanted[line["row"]]) if line["row"] in wanted and not line.get("done") else line
        for line in price_list.lines
    ]
    changes = compared(price_list, lines)
    unknown = {error["row"] for error in changes["errors"] if error["reason"]["code"] == "unknown_item"}
    if add_unknown and unknown:
        lines = [{**line, "add": True} if line["row"] in unknown else line for line in changes["lines"]]
        changes = compared(price_list, lines)
    list_changed(price_list, **changes)
    if not changes["errors"] and all(row["change"] == "same" for row in changes["rows"]):
        # Nothing will be imported of this list: what was answered is remembered now.
        price_list.lines = changes["lines"]
        names_remember(price_list, {row["row"]: row for row in changes["rows"]})
    return len({error["row"] for error in changes["errors"]})


def _corrected(line: dict[str, object], one: Correction) -> dict[str, object]:
    changed = {**line, "pack": one.pack, "price": one.price, "add": one.add}
    was = line.get("was") or line["item"]
    if one.same and line.get("asked"):
        return changed | {"item": line["asked"], "was": was}
    # Another name may be similar to another ingredient: nobody was asked about that one yet.
    asked = line.get("asked") if one.item == line["item"] else None
    return changed | {"item": one.item, "asked": asked, "was": was}
