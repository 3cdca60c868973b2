"""What of a table breaks the cooling rule in force, and what is recorded to be measured instead."""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field, replace
from typing import TypeVar

from catalog.book.selectors import book_unpriced
from catalog.cooling.amounts import Units
from catalog.cooling.batch_reports import BatchCold, BatchTimes
from catalog.cooling.cycles import rule_of
from catalog.cooling.first_remedy import first_remedy
from catalog.cooling.missing import Missing
from catalog.cooling.selectors import (
    ProductCold,
    cold_times,
    first_broken,
)
from catalog.products.models import Product as ProductRow
from catalog.recipes.models import Recipe as RecipeRow
from catalog.records.errors import CannotPrice
from catalog.records.reasons import Reason
from catalog.records.versions import version_mark
from costing.chilling import COLD_C
from costing.chilling import Profile as Rule
from costing.contract import Book
from orders.quotes.cooling.amounts import hot_batches, loads_of, parts_of
from orders.quotes.cooling.broken import FREEZES as FREEZES
from orders.quotes.cooling.broken import Broken as Broken
from orders.quotes.cooling.broken import Item as Item
from orders.quotes.cooling.broken import Later, later_of, names_apart
from orders.quotes.cooling.mark_parts import fails, without_names, without_notes
from orders.quotes.cooling.stopping import NO_SOURCE as NO_SOURCE
from orders.quotes.cooling.stopping import batch_stops, fault_mark, missing_of, stopping
from orders.quotes.models import CoolingOverride, Quote

Key = TypeVar("Key")


@dataclass(frozen=True, slots=True)
class Judgement:
    """What of a table breaks the rule, and everything that was judged by it."""

    broken: tuple[Broken, ...] = ()
    judged: frozenset[Item] = frozenset()


def broken(units: Units, book: Book) -> tuple[Broken, ...]:
    """Return the products and batches that break the rule in force, also those that may never get cold."""
    return judge({None: units}, book)[None].broken


def judge(tables: Mapping[Key, Units], book: Book) -> dict[Key, Judgement]:
    """Judge the products of tables, and the batches that each takes at its size.

    Verdicts are known once for each Book: one query where a product is new, and one where something is made hot.
    """
    codes = {code for units in tables.values() for code in units}
    cold, opened = cold_times(codes, book), _open_products(tables, book)
    batches = {key: hot_batches(units, book) for key, units in tables.items()}
    hot = {one.recipe.code for found in batches.values() for one in found if one.times or batch_stops(one, book)}
    keys = dict(RecipeRow.objects.filter(code__in=hot).values_list("code", "pk")) if hot else {}
    return {
        key: _in_loads(
            _judgement(
                [
                    *_products({code: cold[code] for code in units if code in cold}, opened[key], book),
                    *((one.item, one) for code, one in opened[key].items() if code not in cold),
                    *_batches(batches[key], keys, book),
                ]
            ),
            units,
            book,
        )
        for key, units in tables.items()
    }


def _in_loads(found: Judgement, units: Units, book: Book) -> Judgement:
    """Return a judgement with in how many loads each product of its table is made; another number is another mark."""
    loads = loads_of(units, book) if found.broken else {}
    each = (_made_in(one, loads.get(one.code, 1)) if one.item.kind == "product" else one for one in found.broken)
    return replace(found, broken=tuple(each))


def _made_in(one: Broken, loads: int) -> Broken:
    return replace(one, parts=loads, mark=one.mark if loads == 1 else version_mark([one.mark, loads]))


@dataclass(frozen=True, slots=True)
class Unanswered:
    """A product or batch of which not all can be judged, because something is not entered."""

    name: str
    missing: Missing


def not_judged(units: Units, book: Book) -> tuple[Unanswered, ...]:
    """Return what of a table cools and cannot be judged; what is hot stops as a broken rule does, and is not here."""
    missing = missing_of(units, book)
    stops = stopping(missing, book)
    hot = hot_batches(units, book)
    return (
        *(
            Unanswered(one.recipe.name, one.missing)
            for one in hot
            if one.missing is not None and not batch_stops(one, book)
        ),
        *(Unanswered(one.recipe.name, found) for one in hot if (found := one.uncounted) is not None),
        *(Unanswered(book.product(code).name, found) for code, found in missing.items() if code not in stops),
    )


def _open_products(tables: Mapping[Key, Units], book: Book) -> dict[Key, dict[str, Broken]]:
    """Return the products of each table of which nobody stated what stops them; one query where there are any."""
    missing = {key: missing_of(units, book) for key, units in tables.items()}
    stops = {key: stopping(found, book) for key, found in missing.items()}
    every = {code for codes in stops.values() for code in codes}
    keys = dict(ProductRow.objects.filter(code__in=every).values_list("code", "pk")) if every else {}
    return {
        key: {code: _open_product(code, missing[key][code], keys[code], book) for code in codes if code in keys}
        for key, codes in stops.items()
    }


def _open_product(code: str, missing: Missing, key: int, book: Book) -> Broken:
    product = book.product(code)
    rule = rule_of(book.kitchen.described, cooked=product.cooling_rule != "ambient")
    parts = [without_notes(book.recipe(fill.recipe).steps) for fill in product.fill]
    return Broken(
        item=Item("product", key),
        name=product.name,
        rule=rule.title,
        mark=version_mark([without_notes(product.steps), parts, missing.reason.code]),
        legs=rule.legs,
        limit_c=COLD_C if rule.cold_c is None else rule.cold_c,
        why=missing.reason.code,
        code=code,
        missing=missing,
    )


def _judgement(found: Iterable[tuple[Item, Broken | None]]) -> Judgement:
    each = list(found)
    return Judgement(tuple(one for _, one in each if one is not None), frozenset(item for item, _ in each))


def _products(
    cold: Mapping[str, ProductCold], open_products: Mapping[str, Broken], book: Book
) -> Iterator[tuple[Item, Broken | None]]:
    for code, one in cold.items():
        item = Item("product", one.product_id)
        worst, other = first_broken(one.times), open_products.get(code)
        names = names_apart([(time.step, time.name) for time in one.times])
        if worst is None:
            if one.times or code in open_products:
                yield item, other
            continue
        yield (
            item,
            Broken(
                item=item,
                name=book.product(code).name,
                rule=worst.rule,
                mark=version_mark(
                    [
                        without_notes(book.product(code).steps),
                        without_names(one.times),
                        *fault_mark(other.missing if other else None),
                    ]
                ),
                code=code,
                never=any(time.never for time in one.times),
                legs=worst.legs,
                limit_c=worst.limit_c,
                why=FREEZES if worst.verdict == FREEZES and not worst.never else "",
                part=names[worst.step],
                later=tuple(
                    Later(time.rule, time.legs, time.limit_c, names[time.step])
                    for time in one.times
                    if time != worst and first_broken([time])
                ),
                also=None if other is None else other.missing,
            ),
        )


def _batches(found: Iterable[BatchCold], keys: Mapping[str, int], book: Book) -> Iterator[tuple[Item, Broken | None]]:
    for one in found:
        if one.recipe.code not in keys:
            continue
        rule = rule_of(book.kitchen.described)
        item = Item("recipe", keys[one.recipe.code])
        worst = first_failing(one)
        if worst is None:
            yield item, _open_batch(item, one, rule) if batch_stops(one, book) else _short_batch(item, one)
            continue
        broken_rule, cold_c = worst.cycle.plan.rule, worst.cycle.plan.cold_c
        names = names_apart([(each.cycle.last_at, str(each.cycle.last)) for each in one.times])
        found_for = [(each.trial.legs, each.trial.cold_slow) for each in one.times]
        yield (
            item,
            Broken(
                item=item,
                name=one.recipe.name,
                rule=broken_rule.title,
                mark=version_mark(
                    [without_notes(one.recipe.steps), one.batches.each_kg, found_for, *fault_mark(one.missing)]
                ),
                code=one.recipe.code,
                parts=parts_of(one),
                never=any(each.trial.never for each in one.times),
                legs=broken_rule.legs,
                limit_c=cold_c,
                why=FREEZES if worst.trial.verdict == FREEZES else "",
                grams=one.batches.grams,
                part=names[worst.cycle.last_at],
                later=tuple(later_of(each, names) for each in one.times if each != worst and fails(each.trial)),
                also=one.missing,
            ),
        )


def first_failing(one: BatchCold) -> BatchTimes | None:
    """Return the first cooling of a batch that breaks its rule; None where none does."""
    return next((each for each in one.times if fails(each.trial)), None)


def _open_batch(item: Item, one: BatchCold, rule: Rule) -> Broken:
    """Return a batch of which nobody can say that it gets cold in time: it stops like what does not."""
    why = "" if one.missing is None else one.missing.reason.code
    return Broken(
        item,
        one.recipe.name,
        rule.title,
        version_mark([without_notes(one.recipe.steps), one.batches.each_kg, why]),
        legs=rule.legs,
        limit_c=COLD_C if rule.cold_c is None else rule.cold_c,
        why=why,
        code=one.recipe.code,
        missing=one.missing,
        parts=parts_of(one),
        grams=one.batches.grams,
    )


def _short_batch(item: Item, one: BatchCold) -> Broken | None:
    """Return a batch that keeps its rule only in more vessels than there are: it cannot be made so."""
    found = one.short
    if found is None:
        return None
    rule, cold_c = one.times[0].cycle.plan.rule, one.times[0].cycle.plan.cold_c
    return Broken(
        item,
        one.recipe.name,
        rule.title,
        version_mark([without_notes(one.recipe.steps), one.batches.each_kg, found.code, sorted(found.params.items())]),
        legs=rule.legs,
        limit_c=cold_c,
        why=found.code,
        code=one.recipe.code,
        parts=parts_of(one),
        short=found,
        grams=one.batches.grams,
    )


@dataclass(frozen=True, slots=True)
class RuledTable:
    """A quote's table against the cooling rule: what breaks it, and the latest override of each item.

    ``never`` is what may never get cold where it chills, whatever is measured: no override allows it. ``book`` is what
    it was judged by.
    """

    quote: Quote
    broken: tuple[Broken, ...]
    overrides: Mapping[Item, CoolingOverride] = field(default_factory=dict)
    never: tuple[Broken, ...] = ()
    book: Book | None = None

    def helps(self, one: Broken) -> Reason | None:
        """Return the first change that meets the rule, as the item's cooling page lists it; None where none is known.

        What is not entered, or may never get cold, has another remedy, which its own sentence names. A change that
        mends one of several coolings leaves the others broken.
        """
        if self.book is None or one.missing is not None or one.never or one.later:
            return None
        return first_remedy(one.code, one.grams, self.book)

    def override(self, one: Broken) -> CoolingOverride | None:
        """Return the latest override of an item, whatever it was recorded for."""
        return self.overrides.get(one.item)

    def standing(self, one: Broken) -> CoolingOverride | None:
        """Return the override that was recorded for these very steps and this verdict; None if there is none."""
        found = self.override(one)
        return found if found is not None and found.mark == one.mark else None

    @property
    def stops(self) -> bool:
        """Whether something breaks the rule, or may never get cold."""
        return bool(self.broken or self.never)

    @property
    def unrecorded(self) -> tuple[Broken, ...]:
        """What keeps the quote from being sent or approved: no override, or one for other steps or another verdict."""
        return tuple(one for one in self.broken if self.standing(one) is None)


def ruled_table(quote: Quote, units: Units, book: Book) -> RuledTable:
    """Return what of a quote's table breaks the rule; one query more where something does.

    What may never get cold stands apart: nothing is measured instead.
    """
    every = broken(units, book)
    found, never = (tuple(one for one in every if one.never == wanted) for wanted in (False, True))
    return RuledTable(quote, found, overrides_of([quote.pk])[quote.pk] if found else {}, never, book)


def ruled_now(quote: Quote) -> RuledTable:
    """Return what of a saved table breaks the rule by today's catalog; nothing where that cannot be judged."""
    try:
        return ruled_for_approval(quote)
    except CannotPrice:
        return RuledTable(quote, ())


def ruled_for_approval(quote: Quote) -> RuledTable:
    """Return what of a saved table breaks the rule by today's catalog, also where that cannot price.

    Raises
    ------
    CannotPrice
        Where what the table consists of cannot be read.
    """
    units = table_units(quote)
    return ruled_table(quote, units, book_unpriced(units))


def overrides_of(quotes: Iterable[int]) -> Mapping[int, Mapping[Item, CoolingOverride]]:
    """Return the latest override of each item for some quotes, in one query."""
    found: dict[int, dict[Item, CoolingOverride]] = {pk: {} for pk in quotes}
    for row in (
        CoolingOverride.objects.filter(quote__in=found).select_related("recipe", "product", "quote").order_by("pk")
    ):
        found[row.quote_id][item_of(row)] = row
    return found


def item_of(row: CoolingOverride) -> Item:
    """Return what an override is about."""
    return Item("product", row.product_id) if row.product_id else Item("recipe", row.recipe_id or 0)


def table_units(quote: Quote) -> Units:
    """Return the units of a saved table by product code."""
    return {line.product.code: line.units for line in quote.lines.select_related("product")}


def overrides_version(found: RuledTable) -> str:
    """Return the version of what is recorded, and of the verdicts it is recorded for."""
    return version_mark([(str(one.item), one.mark, str(found.override(one) or "")) for one in found.broken])
