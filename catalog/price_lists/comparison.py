"""Compare the rows of a price list with the catalog: what they would change, and their problems."""

import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from typing import Any

from catalog.pantry.models import Ingredient, Pack, Supplier
from catalog.price_lists.table import TableRow
from catalog.records.numbers import MOST_GRAMS, MOST_PRICE, number_read
from catalog.records.reasons import Reason, reason_to_json
from costing.measures.measure import MeasureError, parse_measure
from costing.measures.numbers import number_text
from costing.measures.spelling import normalise_pack


@dataclass(frozen=True, slots=True)
class RowProblem:
    """What is wrong with a row, by its number in the file and its column; row 0 is the file as a whole."""

    row: int
    column: str
    reason: Reason

    def to_json(self) -> dict[str, Any]:
        """Return it as the price list stores it."""
        return {"row": self.row, "column": self.column, "reason": reason_to_json(self.reason)}


class RowUnread(Exception):
    """Cells of a row cannot be used; holds the columns with their reasons."""

    def __init__(self, *problems: tuple[str, Reason]) -> None:
        self.problems = problems
        super().__init__(*(reason.code for _, reason in problems))


class Comparison:
    """A list's rows beside the packs of its supplier."""

    def __init__(self, *, supplier: Supplier, starts: date, comma: bool) -> None:
        self.starts, self.comma = starts, comma
        self.ingredients = _by_name(Ingredient.objects.all())
        self.packs = {
            (pack.ingredient_id, pack.size): pack
            for pack in Pack.objects.filter(supplier=supplier).order_by("starts", "pk")
        }
        self.rows: list[dict[str, Any]] = []
        self.problems: list[RowProblem] = []
        self._met: dict[tuple[int, str], int] = {}

    def compare(self, table: Iterable[TableRow]) -> None:
        """Compare every row: what it would change, or its problem."""
        for line in table:
            try:
                row = self._read(line)
                self._check_unique(row)
            except RowUnread as unread:
                self.problems += (RowProblem(line.number, column, reason) for column, reason in unread.problems)
                continue
            self.rows.append(row | self._change(row))

    def _read(self, line: TableRow) -> dict[str, Any]:
        ingredient = self.ingredients.get(" ".join(line.item.lower().split()))
        ingredient = ingredient or self.ingredients.get(_bare_words(line.item))
        problems = [] if ingredient else [("item", _item_problem(line.item))]
        size, wrong = _size(line.pack, ingredient)
        problems += [("pack", reason) for reason in wrong]
        price, wrong = _price(line.price, self.comma)
        problems += [("price", reason) for reason in wrong]
        if problems or ingredient is None:
            raise RowUnread(*problems)
        return {
            "row": line.number,
            "ingredient": ingredient.pk,
            "name": ingredient.name,
            "size": size,
            "price": number_text(price),
        }

    def _check_unique(self, row: dict[str, Any]) -> None:
        """Check that a pack stands in one row only."""
        key = (row["ingredient"], row["size"])
        if key in self._met:
            raise RowUnread(("pack", Reason("twice", {**_pack(row), "row": self._met[key]})))
        self._met[key] = row["row"]

    def _change(self, row: dict[str, Any]) -> dict[str, Any]:
        """Return what importing a row would do: new, dearer, cheaper or same."""
        pack = self.packs.get((row["ingredient"], row["size"]))
        if pack is None:
            return {"change": "new", "before": None}
        price = Decimal(row["price"])
        if pack.starts >= self.starts and pack.price != price:
            self.problems.append(RowProblem(row["row"], "pack", Reason("later", {**_pack(row), "day": pack.starts})))
        change = "same" if pack.price == price else "dearer" if price > pack.price else "cheaper"
        return {"change": change, "before": number_text(pack.price)}


def _pack(row: dict[str, Any]) -> dict[str, Any]:
    return {"name": row["name"], "size": row["size"]}


def _by_name(ingredients: Iterable[Ingredient]) -> dict[str, Ingredient]:
    """Index ingredients by name and code, and by the name without punctuation where that is unique."""
    names: dict[str, Ingredient] = {}
    loose: dict[str, list[Ingredient]] = {}
    for ingredient in ingredients:
        loose.setdefault(_bare_words(ingredient.name), []).append(ingredient)
        names.setdefault(" ".join(ingredient.name.lower().split()), ingredient)
        names[ingredient.code.lower()] = ingredient
    return {words: found[0] for words, found in loose.items() if len(found) == 1} | names


def _bare_words(name: str) -> str:
    """Return a name without punctuation, as suppliers often write it."""
    return " ".join(re.findall(r"\w+", name.lower()))


def _size(text: str, ingredient: Ingredient | None) -> tuple[str, list[Reason]]:
    """Return a pack's size in the exact grammar, and why it cannot be used for the ingredient."""
    try:
        size = normalise_pack(text)
    except MeasureError as error:
        return "", [Reason("measure", {"text": str(error)})]
    measure = parse_measure(size)
    if measure.in_base() > MOST_GRAMS:
        return "", [Reason("pack_too_large", {"size": size})]
    return size, list(_unweighable(ingredient, measure.kind)) if ingredient else []


def _unweighable(ingredient: Ingredient, kind: str) -> Iterator[Reason]:
    params = {"name": ingredient.name}
    if ingredient.base == Ingredient.Base.EACH:
        if kind != "count":
            yield Reason("counted_only", params)
    elif kind == "volume" and ingredient.density is None:
        yield Reason("no_density", params)
    elif kind == "count" and ingredient.grams_each is None:
        yield Reason("no_piece_weight", params)


def _price(text: str, comma: bool) -> tuple[Decimal, list[Reason]]:
    price = number_read(text, comma=comma)
    if price is None:
        return Decimal(0), [Reason("not_a_number")]
    if price < 0:
        return price, [Reason("negative")]
    return price, [Reason("too_dear")] if price > MOST_PRICE else []


def _item_problem(item: str) -> Reason:
    return Reason("unknown_item", {"item": item}) if item.strip() else Reason("no_item")
