"""Tax categories with their rates: rows to Book values, and back."""

from dataclasses import replace
from typing import Final

from catalog.book.row_writing import create, remove_stale, upsert
from catalog.book.rows import RecordCache, Rows
from catalog.book.sections import Keys, Section
from catalog.book.values import decimal, exact
from catalog.kitchen.models import Kitchen
from catalog.taxes.models import TaxCategory, TaxRate
from costing.contract import Book
from costing.contract import book as values


def _read(book: Book, _: RecordCache) -> Book:
    """Add the tax categories; one query."""
    columns = ("code", "name", "untdid", "exempt_reason", "rates__rate", "rates__starts")
    order = ("position", "pk", "rates__position", "rates__pk")
    taxes: dict[str, values.Tax] = {}
    for code, name, untdid, reason, rate, starts in Rows(TaxCategory, *columns, order=order):
        tax = taxes.get(code) or values.Tax(code, (), name, untdid, reason)
        rates = () if starts is None else (values.TaxRate(exact(rate), starts),)
        taxes[code] = replace(tax, rates=(*tax.rates, *rates))
    return replace(book, taxes=tuple(taxes.values()))


def _write(book: Book, keys: Keys) -> None:
    keys["taxes"] = upsert(
        TaxCategory(code=tax.code, name=tax.name, untdid=tax.untdid, exempt_reason=tax.exempt_reason, position=i)
        for i, tax in enumerate(book.taxes)
    )
    TaxRate.objects.filter(category_id__in=keys["taxes"].values()).delete()
    create(
        TaxRate,
        (
            TaxRate(category_id=keys["taxes"][tax.code], rate=decimal(rate.rate), starts=rate.start, position=i)
            for tax in book.taxes
            for i, rate in enumerate(tax.rates)
        ),
    )
    # The kitchen's row is written before the taxes are; of a Book without a profile it keeps a tax that stays.
    kitchen, profile = Kitchen.objects.filter(pk=1), book.kitchen.profile
    if profile is not None:
        code = profile.cancellation_tax
        kitchen.update(cancellation_tax=keys["taxes"][code] if code else None)
    else:
        kitchen.exclude(cancellation_tax__in=keys["taxes"].values()).update(cancellation_tax=None)


def _clear(keys: Keys) -> None:
    remove_stale(TaxCategory, keys["taxes"])


SECTION: Final = Section(read=_read, write=_write, clear=_clear)
