"""Rows that a saved draft lost are brought back from the message that says so, while the session lasts."""

import secrets
from collections.abc import Mapping, Sequence
from dataclasses import asdict, replace
from datetime import datetime
from decimal import Decimal
from typing import Any, Final

from django.contrib.sessions.backends.base import SessionBase

from catalog.products.models import Product
from catalog.records.errors import CannotUndo
from catalog.taxes.models import TaxCategory
from orders.quotes.draft.dessert_table import DessertTable, TableExtra, TableLine, table_of
from orders.quotes.draft.services import draft_save, table_version
from orders.quotes.models import Quote

#: Where the session has the removed rows.
_KEY: Final = "removed_rows"
#: How many removals can be undone; older ones are forgotten.
_MOST: Final = 5


def with_marked(before: DessertTable, marked: Sequence[TableLine]) -> DessertTable:
    """Return a saved table with the rows that are marked to be removed and were never saved, at its end."""
    codes = {line.code for line in before.lines}
    return replace(before, lines=(*before.lines, *(line for line in marked if line.code not in codes)))


def removed_rows(before: DessertTable, after: DessertTable) -> dict[str, Any]:
    """Return the rows that a table had and another has not, as JSON, each with its place.

    A row without a quantity was none yet.
    """
    codes, names = {line.code for line in after.lines}, {extra.name for extra in after.extras}
    return {
        "lines": [
            [place, {**asdict(line), "share": None if line.share is None else str(line.share)}]
            for place, line in enumerate(before.lines)
            if line.code not in codes and line.units
        ],
        "extras": [[place, asdict(one)] for place, one in enumerate(before.extras) if one.name not in names],
    }


def remember(session: SessionBase, quote_id: int, rows: Mapping[str, Any]) -> str:
    """Put removed rows into the session; return the key they have there."""
    key = secrets.token_hex(8)
    held = {**session.get(_KEY, {}), key: {"quote": quote_id, "rows": rows}}
    session[_KEY] = dict(list(held.items())[-_MOST:])
    return key


def taken_out(session: SessionBase, quote_id: int, key: str) -> Mapping[str, Any] | None:
    """Take the rows of a quote out of the session; None when they are not there."""
    held = dict(session.get(_KEY, {}))
    found = held.pop(key, None)
    session[_KEY] = held
    return found["rows"] if found and found["quote"] == quote_id else None


def rows_restore(*, quote_id: int, rows: Mapping[str, Any], by: str, at: datetime) -> Quote:
    """Put removed rows back into a draft, each at its place; rows that were added since stay.

    Raises
    ------
    Quote.DoesNotExist
        If there is none.
    NotADraft
        If it was sent or withdrawn meanwhile.
    Overtaken
        If the table is saved at the same time.
    CannotUndo
        If one of them is there again, or its product or tax category is gone.
    """
    quote = Quote.objects.get(pk=quote_id)
    table, version = table_of(quote), table_version(quote)
    lines, extras = list(table.lines), list(table.extras)
    for place, line in rows["lines"]:
        share = None if line["share"] is None else Decimal(line["share"])
        lines.insert(place, TableLine(**{**line, "share": share}))
    for place, extra in rows["extras"]:
        listed = {name: tuple(extra[name]) for name in ("allergens", "may_contain", "free_of")}
        facts = tuple((code, answer) for code, answer in extra.get("facts", ()))
        extras.insert(place, TableExtra(**{**extra, **listed, "facts": facts}))
    products, taxes = {line.product_id for line in lines}, {extra.tax_id for extra in extras}
    gone = len(products) < len(lines) or len(products) > Product.objects.filter(pk__in=products).count()
    if gone or len(taxes) > TaxCategory.objects.filter(pk__in=taxes).count():
        raise CannotUndo
    table = replace(table, lines=tuple(lines), extras=tuple(extras))
    return draft_save(quote_id=quote_id, table=table, version=version, by=by, at=at)
