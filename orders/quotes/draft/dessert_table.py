"""The dessert table of a draft quote, saved or not: lines, extras, units of each product; and the Brief of it."""

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from decimal import Decimal
from fractions import Fraction
from typing import Any

from django.utils import timezone

from catalog.pantry.allergens import covered
from catalog.pantry.declarations import FREE
from catalog.pantry.diets import DIETS, facts_asked, named_facts
from catalog.pantry.free_by import FREE_BY, source_missing
from catalog.pantry.kind_words import kinds_named
from catalog.pantry.note_needs import needs_in
from catalog.pantry.thing_words import plainly_no_food
from catalog.products.claims import claims_in
from catalog.products.models import Product
from costing.contract import Brief, BriefLine, DeliveryTerms, Extra
from costing.money.rounding import minor_digits
from costing.requirements.portions import ChosenProduct, portions_for_guests
from orders.inquiries.models import Inquiry
from orders.quotes.models import Quote, QuoteExtra


@dataclass(frozen=True, slots=True)
class TableLine:
    """A product on the table: its share of the pieces, its units, and a price given by hand or none."""

    product_id: int
    code: str
    units: int
    unit_price_minor: int | None = None
    share: Decimal | None = None


@dataclass(frozen=True, slots=True)
class TableExtra:
    """One-off work or rental; ``food`` is a value of ``QuoteExtra.Food``, the codes count where its label was read.

    ``facts`` are the answers for what else some guests do not eat, such as alcohol: (code, contains or free).
    ``free_by`` is how it is known what it is free of, with the name that was answered for.
    """

    name: str
    cost_minor: int
    amount_minor: int
    tax_id: int
    tax_code: str
    food: str = ""
    allergens: tuple[str, ...] = ()
    may_contain: tuple[str, ...] = ()
    free_of: tuple[str, ...] = ()
    facts: tuple[tuple[str, str], ...] = ()
    free_by: str = ""

    @property
    def free(self) -> tuple[str, ...]:
        """What it is free of: nothing where its name does not say what is in it and nobody says how it is known."""
        return () if source_missing(self.name, self.free_by) else self.free_of


def named_allergens(name: str) -> tuple[str, ...]:
    """Return the allergens that the name of an extra has in it; not what it says to be free of."""
    claimed = {claim.need for claim in claims_in(name)}
    found = dict.fromkeys([*needs_in(name), *kinds_named(name)])
    named = [code for code in found if code not in claimed and code not in DIETS]
    # A group says no more where one of it is named: a walnut praline.
    return tuple(code for code in named if not any(covered(other) < covered(code) for other in named))


def only_named(extra: TableExtra, asked: Collection[str]) -> tuple[str, ...]:
    """Return what an extra is named after, though the answer is that there is none of it in it: allergens, alcohol.

    ``asked`` are the codes of the kitchen's list.
    """
    free = {*asked} if extra.food == QuoteExtra.Food.NONE else {*extra.free_of}
    held = {*extra.allergens, *extra.may_contain}
    named = [code for code in named_allergens(extra.name) if covered(code) & free and not covered(code) & held]
    facts = dict(extra.facts)
    stated = (*named_facts(extra.name), *facts_asked(extra.name))
    return (*named, *(code for code, _ in stated if facts.get(code) == FREE))


def sounds_eaten(name: str, food: str, asked: Collection[str]) -> bool:
    """Return whether a name may be of something to eat or drink, and the answer is that it is not.

    A name with an allergen that is ``asked`` for in it is asked about for that (:func:`only_named`).
    """
    if food != QuoteExtra.Food.NONE or not name.strip() or plainly_no_food(name):
        return False
    return not any(covered(code) & {*asked} for code in named_allergens(name))


@dataclass(frozen=True, slots=True)
class DessertTable:
    """The table of a draft, saved or not: lines, extras, discount, rush.

    ``unread`` are the products of rows of which no figure could be read: they cost nothing yet, and are eaten all the
    same.
    """

    lines: tuple[TableLine, ...] = ()
    extras: tuple[TableExtra, ...] = ()
    discount: Decimal = Decimal(0)
    rush: bool = False
    unread: tuple[str, ...] = ()

    def with_units(self, units: Mapping[str, int]) -> "DessertTable":
        """Return the table with units filled in where none are given; lines still without any are unread."""
        lines = [line if line.units else replace(line, units=units.get(line.code, 0)) for line in self.lines]
        unread = (*self.unread, *(line.code for line in lines if not line.units))
        return replace(self, lines=tuple(line for line in lines if line.units), unread=unread)

    def with_line(self, code: str, **changes: Any) -> "DessertTable":
        """Return the table with one product's units or price changed; the other lines stay as they are."""
        lines = tuple(replace(line, **changes) if line.code == code else line for line in self.lines)
        return replace(self, lines=lines)


def table_of(quote: Quote) -> DessertTable:
    """Read a quote's rows; prefetch ``lines__product`` and ``extras__tax`` for many quotes."""
    return DessertTable(
        lines=tuple(
            TableLine(line.product_id, line.product.code, line.units, line.unit_price_minor, line.share)
            for line in _rows(quote, "lines", "product")
        ),
        extras=tuple(
            TableExtra(
                extra.name,
                extra.cost_minor,
                extra.amount_minor,
                extra.tax_id,
                extra.tax.code,
                extra.food,
                tuple(extra.allergens),
                tuple(extra.may_contain),
                tuple(extra.free_of),
                tuple(sorted((code, answer) for code, answer in extra.diet_answers.items() if code != FREE_BY)),
                extra.diet_answers.get(FREE_BY, ""),
            )
            for extra in _rows(quote, "extras", "tax")
        ),
        discount=quote.discount,
        rush=quote.rush,
    )


def _rows(quote: Quote, name: str, related: str) -> Sequence:  # type: ignore[type-arg]  # lines or extras
    manager = getattr(quote, name)
    prefetched = name in getattr(quote, "_prefetched_objects_cache", {})
    return list(manager.all() if prefetched else manager.select_related(related))


def is_portion(servings: int) -> bool:
    """Return whether a unit of this many servings is one piece for one guest: no whole cake, no centerpiece."""
    return servings == 1


def units_for_guests(
    table: DessertTable, products: Mapping[str, Product], guests: int | None, pieces_per_guest: Decimal | None
) -> dict[str, int]:
    """Return the units of each product with a share that give the pieces needed; empty while guests are unknown.

    Portions whose quantity was entered without a share count among the pieces: the shares split the others.
    """
    choices = [
        ChosenProduct(line.code, Fraction(line.share), products[line.code].sale_multiple, products[line.code].servings)
        for line in table.lines
        if line.share
    ]
    if not guests or not pieces_per_guest or not choices:
        return {}
    by_hand = sum(
        line.units
        for line in table.lines
        if not line.share and line.code in products and is_portion(products[line.code].servings)
    )
    rest = Fraction(pieces_per_guest) - Fraction(by_hand, guests)
    found = portions_for_guests(guests, rest if rest > 0 else Fraction(pieces_per_guest), choices)
    return {portions.product: portions.units for portions in found.products}


def brief_of(table: DessertTable, *, inquiry: Inquiry, currency: str, day: date) -> Brief:
    """Build the Brief of a table for an inquiry, with the packs in force on ``day``.

    The tax date is the day of hand-over in the kitchen's zone. Extras keep their order: their codes are
    ``extra-1``, ``extra-2``, …
    """
    unit = Fraction(1, 10 ** minor_digits(currency))
    return Brief(
        date=day,
        supply_date=timezone.localtime(inquiry.window_start).date(),
        customer_kind=inquiry.customer.kind or None,
        tax_exempt=inquiry.customer.tax_exempt,
        lines=tuple(BriefLine(line.code, line.units, _money(line.unit_price_minor, unit)) for line in table.lines),
        extras=tuple(
            Extra(f"extra-{place}", extra.cost_minor * unit, extra.amount_minor * unit, extra.tax_code)
            for place, extra in enumerate(table.extras, start=1)
        ),
        delivery=delivery_of(inquiry),
        discount=Fraction(table.discount),
        rush=table.rush,
    )


def brief_of_quote(quote: Quote, *, day: date | None = None) -> Brief:
    """Build the Brief of a quote's rows, with the packs in force on its costing date, or on another day."""
    return brief_of(
        table_of(quote), inquiry=quote.inquiry, currency=quote.currency, day=quote.costing_date if day is None else day
    )


def delivery_of(inquiry: Inquiry) -> DeliveryTerms | None:
    """Return the delivery terms, or None when the order is picked up. Unknown values count as zero."""
    if inquiry.hand_over != Inquiry.HandOver.DELIVERY:
        return None
    return DeliveryTerms(
        km=Fraction(inquiry.km or 0),
        minutes=Fraction(inquiry.minutes or 0),
        crew=max(inquiry.crew, 1),
        setup_minutes=Fraction(inquiry.setup_minutes or 0),
    )


def _money(minor: int | None, unit: Fraction) -> Fraction | None:
    return None if minor is None else minor * unit


def removed_names(before: DessertTable, after: DessertTable, names: Mapping[str, str]) -> list[str]:
    """Return the names of products and extras that a table had and another has not.

    ``names`` are those of the products by their codes.
    """
    codes, extras = {line.code for line in after.lines}, {extra.name for extra in after.extras}
    return [
        *(names.get(line.code, line.code) for line in before.lines if line.code not in codes),
        *(extra.name for extra in before.extras if extra.name not in extras),
    ]
