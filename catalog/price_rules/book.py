"""Price rules: rows to Book values, and back."""

from dataclasses import replace
from typing import Final

from catalog.book.row_writing import upsert
from catalog.book.rows import RecordCache, Rows
from catalog.book.sections import Keys, Section
from catalog.book.values import decimal, exact
from catalog.price_rules.models import PriceRule
from costing.contract import Book
from costing.contract import book as values


def _read(book: Book, _: RecordCache) -> Book:
    """Add the price rules in their order; one query."""
    columns = ("code", "margin", "product__code", "category", "customer_kind", "from_units", "minimum", "name")
    return replace(
        book,
        price_rules=tuple(
            values.PriceRule(code, exact(margin), product, category or None, kind or None, units, exact(minimum), name)
            for code, margin, product, category, kind, units, minimum, name in Rows(PriceRule, *columns)
        ),
    )


def _write(book: Book, keys: Keys) -> None:
    """Write the price rules in their order; delete those the Book lacks, as nothing refers to them."""
    PriceRule.objects.exclude(code__in=[rule.code for rule in book.price_rules]).delete()
    keys["price_rules"] = upsert(
        PriceRule(
            code=rule.code,
            name=rule.name,
            margin=decimal(rule.margin),
            product_id=None if rule.product is None else keys["products"][rule.product],
            category=rule.category or "",
            customer_kind=rule.customer_kind or "",
            from_units=rule.from_units,
            minimum=decimal(rule.minimum),
            position=i,
        )
        for i, rule in enumerate(book.price_rules)
    )


SECTION: Final = Section(read=_read, write=_write)
