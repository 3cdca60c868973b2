"""Rows of a price list that could not be used, corrected on its page: they join the others."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from django.db import transaction

from catalog.book.revision import catalog_changed
from catalog.price_lists.comparison import Line
from catalog.price_lists.models import PriceList
from catalog.price_lists.names import name_to_add, tidy
from catalog.price_lists.remembered import names_remember
from catalog.price_lists.services import compared
from catalog.price_lists.steps import list_changed, list_to_change

_OPEN = (PriceList.Status.READ, PriceList.Status.APPLIED)


@dataclass(frozen=True, slots=True)
class Correction:
    """A row as corrected; a pack or price of None stays as it is.

    ``add``: an unknown item becomes an ingredient; ``same``: the ingredient proposed, or the other name written in its
    place, is the row's; ``sure``: its price is right, however far it is from the one before; ``instead``: it replaces
    the price of the same day.
    """

    row: int
    item: str
    pack: str | None
    price: str | None
    add: bool = False
    same: bool = False
    sure: bool = False
    instead: bool = False


@transaction.atomic(durable=True)
def price_list_correct(
    *,
    price_list_id: int,
    seen: int | None,
    corrections: Sequence[Correction],
    add_unknown: bool = False,
    replace_all: bool = False,
) -> int:
    """Correct rows that were not imported, and compare them again; return how many rows still have problems.

    With ``add_unknown`` every item that is unknown then, and similar to none, becomes a new ingredient; one that is
    certainly a common ingredient becomes that. With ``replace_all`` every price that differs from one recorded for the
    same day replaces it.

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
    unknown = unknown_rows(changes["errors"])
    if add_unknown and unknown:
        lines = [_added(line, unknown[line["row"]]) if line["row"] in unknown else line for line in changes["lines"]]
        changes = compared(price_list, lines)
    if replace_all and (replacing := same_day_rows(changes["errors"])):
        lines = [{**line, "instead": line["price"]} if line["row"] in replacing else line for line in changes["lines"]]
        changes = compared(price_list, lines)
    list_changed(price_list, **changes)
    if not changes["errors"] and all(row["change"] == "same" for row in changes["rows"]):
        # Nothing will be imported of this list: what was answered is remembered now.
        price_list.lines = changes["lines"]
        if names_remember(price_list, {row["row"]: row for row in changes["rows"]}).unchecked:
            catalog_changed()
    return len({error["row"] for error in changes["errors"]})


def unknown_rows(errors: Sequence[dict[str, Any]]) -> dict[int, str]:
    """Return the rows whose item no ingredient of the kitchen may be, each with the name that it is added under.

    Left out is what may be a common ingredient, but not certainly: somebody has to look at it.
    """
    found = {}
    for error in errors:
        code, params = error["reason"]["code"], error["reason"]["params"]
        if code == "unknown_item":
            found[error["row"]] = name_to_add(params["item"])
        elif code == "common_item" and params["certain"]:
            found[error["row"]] = params["name"]
    return found


def same_day_rows(errors: Sequence[dict[str, Any]]) -> set[int]:
    """Return the rows whose price differs from one that is recorded for the same day."""
    return {error["row"] for error in errors if error["reason"]["code"] == "same_day"}


def _added(line: Line, name: str) -> Line:
    return {**line, "item": name, "was": line.get("was") or line["item"], "add": True}


def _corrected(line: Line, one: Correction) -> Line:
    changed = {
        **line,
        "pack": line["pack"] if one.pack is None else one.pack,
        "price": line["price"] if one.price is None else one.price,
        "add": one.add or one.same,
    }
    if one.sure and one.price == line["price"]:
        changed["sure"] = one.price
    if one.instead and one.price == line["price"]:
        changed["instead"] = one.price
    was, asked = line.get("was") or line["item"], line.get("asked")
    # Among names to check the field holds a proposal; among rows to correct, which have their pack, what the list says.
    proposed = one.pack is None
    if one.same and not one.add and asked and one.item in (asked, line["item"] if not proposed else asked):
        return changed | {"item": asked, "was": was}
    if proposed and not (one.add or one.same) and tidy(one.item) in {tidy(line["item"]), tidy(asked or "")}:
        # Without a tick a proposal is no answer.
        return changed
    # Another name may be similar to another ingredient: nobody was asked about that one yet.
    return changed | {"item": one.item, "asked": asked if one.item == line["item"] else None, "was": was}
