"""Compare the rows of a price list with the catalog: what they would change, and their problems."""

import re
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from functools import lru_cache
from typing import Any, Final

from catalog.kitchen.models import Kitchen
from catalog.pantry.common import common_of
from catalog.pantry.models import Ingredient, Pack, Supplier
from catalog.pantry.other_goods import Bought, loses_free
from catalog.pantry.poured import is_liquid
from catalog.pantry.price_slips import is_leap
from catalog.price_lists.names import Likely, Names, Subject, same_article, tidy
from catalog.price_lists.prices import price_read
from catalog.records.numbers import MOST_GRAMS, number_format
from catalog.records.reasons import Reason, reason_to_json
from costing.measures.figures import NumberFormat
from costing.measures.measure import Measure, MeasureError, parse_measure
from costing.measures.numbers import number_text
from costing.measures.spelling import normalise_pack

#: A row as the list stores it: ``row`` (its number in the file), ``item``, ``pack``, ``price`` as written, ``add`` if
#: it becomes a new ingredient, ``asked`` the similar one that the owner was asked about, ``was`` the item before
#: it was corrected, ``repeats`` the earlier row that says the same, ``sure`` the price that is right, however far it is
#: from the one before, ``instead`` the price that replaces one of the same day, ``done`` once imported.
Line = dict[str, Any]


#: Ounces that say what they are: 32 oz wt, 32 oz (weight), 32 fl oz, 32 oz by volume.
_SAYS_WHICH: Final = re.compile(r"\b(?:wt|weight|fl|fluid|vol|volume)\b", re.IGNORECASE)


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
    """A list's rows beside the packs of its supplier.

    ``rows`` are those that can be imported, with those of ``imported`` as they were; ``problems`` those of the others.
    """

    def __init__(
        self, *, supplier: Supplier, starts: date, home: Kitchen, imported: Iterable[Mapping[str, Any]] = ()
    ) -> None:
        self.starts, self.currency, self.written = starts, home.currency, number_format(home.locale)
        ingredients = list(Ingredient.objects.all())
        self.names = Names(ingredients, home.country)
        self.names.also_called(supplier.item_names)
        self.packs = {
            (pack.ingredient_id, pack.measure): pack
            for pack in Pack.objects.filter(supplier=supplier).order_by("starts", "pk")
        }
        self.bought, self.supplier = Bought(), supplier
        self.free = {one.pk for one in ingredients if loses_free(one)}
        self.rows: list[dict[str, Any]] = [dict(row) for row in imported]
        self.problems: list[RowProblem] = []
        #: Rows that say what an earlier one says, each with that one's number.
        self.repeated: dict[int, int] = {}
        self._met = {_key(row): row for row in self.rows}
        self._texts: dict[tuple[str, ...], int] = {}

    def compare(self, lines: Iterable[Line]) -> None:
        """Compare every row that was not imported: what it would change, or its problem."""
        waiting = [line for line in lines if not line.get("done") and not line.get("repeats")]
        self._name_new(waiting)
        for line in waiting:
            if self._repeats(line):
                continue
            try:
                row = self._read(line)
                if self._stands(row):
                    continue
                row |= self._change(row, line)
                if self._is_other_good(row, line):
                    row["other_good"] = True
            except RowUnread as unread:
                self.problems += (RowProblem(line["row"], column, reason) for column, reason in unread.problems)
                continue
            self.rows.append(row)
        self.rows.sort(key=lambda row: int(row["row"]))

    def _name_new(self, lines: list[Line]) -> None:
        """Name the ingredients that rows add; one that may be there already is asked about first."""
        for line in lines:
            name = " ".join(line["item"].split())
            if not (line.get("add") and name) or self.names.named(name):
                continue
            likely = self.names.likely(name)
            if likely is None or line.get("asked") == likely.name or not _to_ask(name, likely):
                self.names.add(subject_new(name))

    def _repeats(self, line: Line) -> bool:
        """Note a row that is written exactly as an earlier one is."""
        text = tidy(line["item"]), tidy(line["pack"]), tidy(line["price"])
        first = self._texts.setdefault(text, line["row"])
        if first != line["row"]:
            self.repeated[line["row"]] = first
        return bool(first != line["row"])

    def _read(self, line: Line) -> dict[str, Any]:
        subject = self.names.named(line["item"])
        likely = None if subject else self.names.likely(line["item"])
        problems = [] if subject else [("item", _item_problem(line, likely))]
        # Whether the pack can be used is worked out for what the row is likely about, so that all is asked at once.
        about = subject
        if about is None and likely is not None:
            about = likely.subject or subject_new(likely.name)
        size, wrong = pack_size(line["pack"], about, self.written, listed=True)
        problems += [("pack", reason) for reason in wrong]
        if about and self._ounces_open(line["pack"], size, about):
            problems.append(("pack", Reason("ounces", {"text": line["pack"], "name": about.name})))
        price = price_read(line["price"], pack=line["pack"], written=self.written, currency=self.currency)
        if isinstance(price, Reason):
            problems.append(("price", price))
        if problems or subject is None or isinstance(price, Reason):
            raise RowUnread(*problems)
        row = {"row": line["row"], "ingredient": subject.pk, "name": subject.name, "size": size}
        row["price"] = number_text(price)
        if tidy(line["item"]) != tidy(subject.name):
            row["item"] = line["item"]
        return row if subject.pk else row | {"base": subject.base}

    def _is_other_good(self, row: dict[str, Any], line: Line) -> bool:
        """Return whether a row sells another good than was answered for: of a new supplier, or of another item of his.

        His item is another one where he called it otherwise so far, as remembered from his lists.
        """
        pk = row["ingredient"]
        if pk not in self.free or row["change"] == "same":
            return False
        called = {words for words, key in self.supplier.item_names.items() if key == pk}
        item = tidy(line.get("was") or line["item"])
        return self.bought.is_other(pk, self.supplier.name) or bool(
            called and not any(same_article(item, words) for words in called)
        )

    def _ounces_open(self, pack: str, size: str, subject: Subject) -> bool:
        """Return whether the ounces of something that is poured can be a weight or a volume, and nothing says which."""
        if not size.endswith(" oz") or _SAYS_WHICH.search(pack) or (subject.pk, parse_measure(size)) in self.packs:
            return False
        by_volume = any(owner == subject.pk and known.unit == "fl_oz" for owner, known in self.packs)
        return by_volume or is_liquid(subject.name)

    def _stands(self, row: dict[str, Any]) -> bool:
        """Note a row whose pack stands in an earlier one at the same price; refuse one at another price."""
        first = self._met.setdefault(_key(row), row)
        if first is row:
            return False
        if Decimal(first["price"]) != Decimal(row["price"]):
            raise RowUnread(("pack", Reason("twice", {**_pack(row), "row": first["row"]})))
        self.repeated[row["row"]] = first["row"]
        return True

    def _change(self, row: dict[str, Any], line: Line) -> dict[str, Any]:
        """Return what importing a row would do: new, dearer, cheaper or same."""
        pack = self.packs.get((row["ingredient"], parse_measure(row["size"])))
        if pack is None:
            return {"change": "new", "before": None}
        price = Decimal(row["price"])
        same_day = pack.starts == self.starts and pack.ends is None and pack.price != price
        if pack.starts >= self.starts and pack.price != price and not same_day:
            raise RowUnread(("pack", Reason("later", {**_pack(row), "day": pack.starts})))
        if asked := list(_asked(row, pack, line, same_day=same_day)):
            raise RowUnread(*(("price", reason) for reason in asked))
        change = "same" if pack.price == price else "dearer" if price > pack.price else "cheaper"
        found = {"change": change, "before": number_text(pack.price)}
        return found | {"replaces": pack.pk} if same_day else found


def _asked(row: dict[str, Any], pack: Pack, line: Line, *, same_day: bool) -> Iterator[Reason]:
    """Yield what has to be confirmed of a price: that it replaces one of the same day, and one far from the last."""
    prices = {"before": number_text(pack.price), "price": row["price"]}
    if same_day and line.get("instead") != line["price"]:
        yield Reason("same_day", {**_pack(row), **prices, "day": pack.starts})
    if is_leap(pack.price, Decimal(row["price"])) and line.get("sure") != line["price"]:
        yield Reason("leap", prices)


def _item_problem(line: Line, likely: Likely | None) -> Reason:
    if not line["item"].strip():
        return Reason("no_item")
    if likely is None:
        return Reason("unknown_item", {"item": line["item"]})
    code = "likely_item" if likely.subject else "common_item"
    return Reason(
        code,
        {"item": line["item"], "name": likely.name, "certain": likely.certain, "beyond": list(likely.beyond)},
    )


def _to_ask(name: str, likely: Likely) -> bool:
    """Return whether a new name may be another's in the kitchen: not where both are common names of different foods."""
    common, other = common_of(name), common_of(likely.name)
    return likely.subject is not None and (common is None or other is None or common is other)


def _key(row: Mapping[str, Any]) -> tuple[int | str, Measure]:
    return row["ingredient"] or row["name"].casefold(), parse_measure(row["size"])


def _pack(row: dict[str, Any]) -> dict[str, Any]:
    return {"name": row["name"], "size": row["size"]}


def subject_new(name: str) -> Subject:
    """Return an ingredient that is added: with the figures of the common one of that name, or with none."""
    common = common_of(name)
    if common is None:
        return Subject(None, name, "")
    columns = common.columns("")
    return Subject(None, name, columns["base"], common.density, common.grams_each, common)


@lru_cache(maxsize=10_000)
def _normal(text: str, listed: bool, counted: bool, written: NumberFormat) -> str:
    """Return a pack's size in the exact grammar; a long list is compared again after each correction."""
    return normalise_pack(text, listed=listed, counted=counted, written=written)


def pack_size(
    text: str, subject: Subject | None, written: NumberFormat, *, listed: bool = False
) -> tuple[str, list[Reason]]:
    """Return a pack's size in the exact grammar, and why it cannot be used for the ingredient.

    ``written`` is how the kitchen writes numbers, ``listed`` a supplier's list, where 1/2 gal can be two packs.
    """
    base = "" if subject is None else subject.base
    # A bare number of what nothing is known of but its name can be pounds; so many in a case are pieces.
    counted = base == Ingredient.Base.EACH or (subject is not None and not base and not text.strip().isdecimal())
    try:
        size = _normal(text, listed, counted, written)
    except MeasureError as error:
        return "", [Reason("measure", {"text": error.on_screen()})]
    measure = parse_measure(size)
    if measure.in_base() > MOST_GRAMS:
        return "", [Reason("pack_too_large", {"size": size})]
    if subject is None:
        return size, []
    if not subject.base:
        # Nothing is known of it but its name: what is sold by the piece is counted.
        subject.base = str(Ingredient.Base.EACH if measure.kind == "count" else Ingredient.Base.GRAM)
    return size, list(unweighable(subject, measure.kind))


def unweighable(subject: Subject, kind: str) -> Iterator[Reason]:
    """Yield why a mass, volume or count cannot be weighed, or counted, for an ingredient."""
    params = {"name": subject.name}
    if subject.base == Ingredient.Base.EACH:
        if kind != "count":
            yield Reason("counted_only", params)
    elif kind == "volume" and subject.density is None:
        yield Reason("no_density" if subject.pk else "new_no_density", params)
    elif kind == "count" and subject.grams_each is None:
        yield Reason("no_piece_weight" if subject.pk else "new_no_piece_weight", params)
