"""What of a table breaks the cooling rule in force, and what is recorded to be measured instead."""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Literal, NamedTuple

from catalog.book.selectors import book_current
from catalog.cooling.selectors import ColdTime, cold_times
from catalog.records.errors import CannotPrice
from catalog.records.versions import version_mark
from costing.chilling import NOT_MET, Leg
from costing.contract import Book
from orders.quotes.models import CoolingOverride, Quote


class Item(NamedTuple):
    """What a cooling verdict is about: a product, or the batch of a recipe."""

    kind: Literal["product", "recipe"]
    pk: int

    def __str__(self) -> str:
        return f"{self.kind}-{self.pk}"


@dataclass(frozen=True, slots=True)
class Broken:
    """Something that breaks the cooling rule in force: ``mark`` stands for its steps and its verdict.

    ``never`` when it does not get cold at all where it chills: no quote with it can be sent, whatever is measured.
    ``legs`` are the limits of its rule.
    """

    item: Item
    name: str
    rule: str
    mark: str
    never: bool = False
    legs: tuple[Leg, ...] = ()
    limit_c: float = 0.0


def broken(codes: Iterable[str], book: Book) -> tuple[Broken, ...]:
    """Return the products that break the rule in force; those that never get cold among them.

    The verdicts are known once for each Book: one query when there is something new to compute.
    """
    return tuple(_broken(codes, book))


def _broken(codes: Iterable[str], book: Book) -> Iterator[Broken]:
    for code, one in cold_times(codes, book).items():
        worst = next((time for time in one.times if time.never or time.verdict == NOT_MET), None)
        if worst is not None:
            yield Broken(
                item=Item("product", one.product_id),
                name=book.product(code).name,
                rule=worst.rule,
                mark=_mark(code, one.times, book),
                never=any(time.never for time in one.times),
                legs=worst.legs,
                limit_c=worst.limit_c,
            )


def _mark(code: str, times: tuple[ColdTime, ...], book: Book) -> str:
    """Return a mark of a product's steps and verdict; notes in the steps change nothing."""
    steps = [replace(step, text="") for step in book.product(code).steps]
    return version_mark([steps, times])


@dataclass(frozen=True, slots=True)
class RuledTable:
    """A quote's table against the cooling rule: what breaks it, and the latest override of each item."""

    quote: Quote
    broken: tuple[Broken, ...]
    overrides: Mapping[Item, CoolingOverride] = field(default_factory=dict)

    def override(self, one: Broken) -> CoolingOverride | None:
        """Return the latest override of an item, whatever it was recorded for."""
        return self.overrides.get(one.item)

    def standing(self, one: Broken) -> CoolingOverride | None:
        """Return the override that was recorded for these very steps and this verdict; None if there is none."""
        found = self.override(one)
        return found if found is not None and found.mark == one.mark else None

    @property
    def unrecorded(self) -> tuple[Broken, ...]:
        """What keeps the quote from being sent: no override, or one recorded for other steps or another verdict."""
        return tuple(one for one in self.broken if self.standing(one) is None)

    @property
    def without_override(self) -> tuple[Broken, ...]:
        """What keeps a sent quote from being approved: nobody ever said what is measured instead."""
        return tuple(one for one in self.broken if self.override(one) is None)


def ruled_table(quote: Quote, codes: Iterable[str], book: Book) -> RuledTable:
    """Return what of a quote's table breaks the rule; one query more where something does.

    What never gets cold is left out: its window is refused whatever is measured.
    """
    found = tuple(one for one in broken(codes, book) if not one.never)
    return RuledTable(quote, found, overrides_of([quote.pk])[quote.pk] if found else {})


def ruled_now(quote: Quote) -> RuledTable:
    """Return what of a saved table breaks the rule by today's catalog; nothing where the catalog cannot price."""
    try:
        book = book_current()
    except CannotPrice:
        return RuledTable(quote, ())
    return ruled_table(quote, table_codes(quote), book)


def cannot_be_approved(quotes: Sequence[Quote]) -> frozenset[int]:
    """Return the keys of sent quotes with something that breaks the rule by now and has no override.

    Their lines come with their products. One query, and those of the Book and of new verdicts.
    """
    if not quotes:
        return frozenset()
    try:
        book = book_current()
    except CannotPrice:
        return frozenset()
    codes = {line.product.code for quote in quotes for line in quote.lines.all()}
    items = {one.item for one in broken(codes, book) if not one.never}
    overrides = overrides_of(quote.pk for quote in quotes) if items else {}
    return frozenset(
        quote.pk
        for quote in quotes
        if any(
            (item := Item("product", line.product_id)) in items and item not in overrides[quote.pk]
            for line in quote.lines.all()
        )
    )


def overrides_of(quotes: Iterable[int]) -> Mapping[int, Mapping[Item, CoolingOverride]]:
    """Return the latest override of each item for some quotes, in one query."""
    found: dict[int, dict[Item, CoolingOverride]] = {pk: {} for pk in quotes}
    for row in CoolingOverride.objects.filter(quote__in=found).order_by("pk"):
        found[row.quote_id][item_of(row)] = row
    return found


def item_of(row: CoolingOverride) -> Item:
    """Return what an override is about."""
    return Item("product", row.product_id) if row.product_id else Item("recipe", row.recipe_id or 0)


def table_codes(quote: Quote) -> list[str]:
    """Return the codes of a saved table's products."""
    return [line.product.code for line in quote.lines.select_related("product")]


def overrides_version(found: RuledTable) -> str:
    """Return the version of what is recorded, and of the verdicts it is recorded for."""
    return version_mark([(str(one.item), one.mark, str(found.override(one) or "")) for one in found.broken])
