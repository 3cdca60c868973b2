"""What a page says of a price list: its problems in sentences, the rows to correct, the columns that were read."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from decimal import Decimal
from typing import Any, Final, Protocol

from django.utils.translation import gettext, ngettext
from django.utils.translation import gettext_noop as marked

from catalog.price_lists.heads import PIECE_PRICES, head_name
from catalog.price_lists.models import PriceList
from catalog.records.presenters import Sentences, reason_sentence
from catalog.records.reasons import Reason, reason_from_json
from catalog.web import display
from catalog.web.display import joined

SENTENCES: Final[Sentences] = {
    # The file as a whole.
    "too_many_rows": marked("The list has more than {most} rows. Split it into several files."),
    "too_many_columns": marked("The list has more than {most} columns. Keep the columns item, pack and price."),
    "line_too_long": marked(
        "A line of the file is too long for a price list. Save the list as CSV again, one row per line."
    ),
    "no_rows": marked(
        "The list has no rows with a price. Choose its columns below, or add at least one item with pack and price."
    ),
    "heads_alone": marked("The list has heads and no rows below them. Add the rows and choose the file again."),
    "no_columns": marked("No row names the columns item, pack and price; missing: {missing:and}. Choose them below."),
    "not_a_table": marked("The file cannot be read as a table ({error}). Save it as CSV again."),
    "not_text": marked("The file cannot be read: it is not text. Save the list as CSV or XLSX and choose it again."),
    "not_a_workbook": marked(
        "The file cannot be read: it is damaged, or not an XLSX workbook. Save it as XLSX again, or as CSV."
    ),
    "old_workbook": marked("The file cannot be read: it is a workbook in an old format. Save it as XLSX or CSV."),
    "locked": marked("The file cannot be read: it is locked with a password. Save it without one and choose it again."),
    "too_large": marked("The workbook is too large. Save only the price table and choose it again."),
    "too_much": marked(
        "The file took more time or memory to read than a price list does. Save only the price table as CSV and choose"
        " it again."
    ),
    # A row.
    "unknown_item": marked(
        "“{item}” is not one of your ingredients. Choose the one it is, or add it as a new ingredient."
    ),
    "likely_item": marked("Is “{item}” your {name}?"),
    "common_item": marked("“{item}” is not one of your ingredients. In the common list: {name}."),
    "no_item": marked("Write the ingredient's name or code."),
    "measure": marked("{text}"),
    "counted_only": marked("{name} is only counted. Write the pack as a count, such as 50 each."),
    "no_density": marked(
        "{name} has no density, so a volume cannot be converted to a weight. Enter the density on its page, or write"
        " the pack as a weight."
    ),
    "no_piece_weight": marked(
        "{name} has no piece weight, so a count cannot be converted to a weight. Enter the piece weight on its page, or"
        " write the pack as a weight."
    ),
    "new_no_density": marked(
        "{name} is new and its density is not known, so a volume cannot be converted to a weight. Write the pack as a"
        " weight, or add the ingredient with its density first."
    ),
    "new_no_piece_weight": marked(
        "{name} is new and its piece weight is not known, so a count cannot be converted to a weight. Write the pack as"
        " a weight, or add the ingredient with its piece weight first."
    ),
    "not_a_number": marked("Write the price as a number, such as 24.60."),
    "ounces": marked(
        "“{text}” of {name} can be a weight or a volume. Write the pack as 32 oz wt or as 32 fl oz, with its figure."
    ),
    "two_readings": marked("“{text}” can be read as {first} or as {second}. Write one of these."),
    "price_by_weight": marked("“{text}” is a price by weight. Write the price of the whole pack."),
    "price_by_measure": marked("“{text}” is a price by measure. Write the price of the whole pack."),
    "price_of_a_piece": marked(
        "“{text}” can be the price of one piece, and the pack holds several. Write the price of the whole pack."
    ),
    "other_currency": marked("“{text}” is not in {currency}. Write the price in {currency}."),
    "pack_too_large": marked("“{size}” is more than any supplier packs. Check the pack."),
    "too_dear": marked("The price is more than any pack costs. Check it."),
    "leap": marked(
        "{price:price} instead of {before:price}: is that right? Correct the price, or check the box that it is right."
    ),
    "negative": marked("The price is negative. Write it as 0 or more."),
    "twice": marked("{name}, {size} is in row {row} already. Keep one of them."),
    "later": marked("{name}, {size} has a price from {day:day_alone} already. Choose a later first day for the list."),
    "same_day": marked(
        "{name}, {size} has a price from {day:day_alone} already, {before:price}. Check the box to replace it, or"
        " choose a later first day for the list."
    ),
    # What undoing an import leaves.
    "price_corrected": marked("{name}, {size}: the price was corrected since, so it stays."),
    "ingredient_used": marked("{name} stays, with its price: it is used by {users:counted}."),
    "ingredient_priced": marked("{name} stays: it has other prices."),
    "ingredient_changed": marked("{name} stays, with its price: it was changed since."),
    "supplier_used": marked("{name} stays among your suppliers: it has prices, price lists or notes of its own."),
    "supplier_stays": marked("{name} stays among your suppliers, because this price list is from there."),
    "columns_stay": marked("Which column holds what stays remembered for the next lists of {name}."),
}


@dataclass(frozen=True, slots=True)
class ListProblem:
    """A problem of a row of the file, or of the file (row 0)."""

    row: int
    column: str
    message: str


def list_problems(price_list: PriceList) -> list[ListProblem]:
    """Write the problems of a list, row by row."""
    return [
        ListProblem(stored["row"], stored["column"], problem_sentence(reason_from_json(stored["reason"])))
        for stored in price_list.errors
    ]


def problem_sentence(reason: Reason) -> str:
    """Write the problem of a row or a file."""
    return reason_sentence(reason, SENTENCES, {"and": joined, "price": lambda price: display.amount(Decimal(price))})


_CHANGES: Final = {"dearer": marked("higher by %(share)s"), "cheaper": marked("lower by %(share)s")}


def rows_shown(rows: Iterable[Mapping[str, Any]]) -> list[dict[str, Any]]:
    """Return rows that change a price, each with the change in words, the largest changes first."""
    return [{**row, "words": _change_words(row)} for row in sorted(rows, key=_share, reverse=True)]


def _share(row: Mapping[str, Any]) -> Decimal:
    """Return how much a row changes a price, as a share of the one before; 0 where there was none."""
    before = Decimal(row["before"] or 0)
    return abs(Decimal(row["price"]) / before - 1) if before else Decimal(0)


def _change_words(row: Mapping[str, Any]) -> str:
    if not row["ingredient"]:
        return gettext("new ingredient")
    if row["change"] not in _CHANGES:
        return gettext("new")
    if not Decimal(row["before"]):
        return gettext("higher")
    return gettext(_CHANGES[row["change"]]) % {"share": display.percent(_share(row))}


def rows_imported(price_list: PriceList) -> list[dict[str, Any]]:
    """Return the rows that were imported; of a list from before imports could be undone, all that changed a price."""
    if price_list.status != PriceList.Status.APPLIED:
        return []
    changed = (row for row in price_list.rows if row["change"] != "same")
    return [row for row in changed if row.get("done") or not price_list.made]


def repeated_words(price_list: PriceList) -> str:
    """Say which rows repeat an earlier one and are left out; empty where none does."""
    rows = [str(line["row"]) for line in price_list.lines if line.get("repeats")]
    if not rows:
        return ""
    return ngettext(
        "Row %(rows)s says the same as an earlier one and is left out.",
        "Rows %(rows)s say the same as earlier ones and are left out.",
        len(rows),
    ) % {"rows": joined(rows)}


def left_words(price_list: PriceList) -> list[str]:
    """Write what undoing an import left, and why."""
    return [problem_sentence(reason_from_json(reason)) for reason in price_list.undone.get("left", ())]


def beside_words(price_list: PriceList) -> list[str]:
    """Write what stays of the list itself once its import is undone."""
    return [problem_sentence(reason_from_json(reason)) for reason in price_list.undone.get("beside", ())]


@dataclass(frozen=True, slots=True)
class ColumnsRead:
    """From which columns a list was read; ``maybe_pieces`` where the head can mean the price of one piece."""

    words: str
    maybe_pieces: str = ""


_COLUMN_WORDS: Final = {
    "item": marked("item"),
    "pack": marked("pack"),
    "size": marked("size"),
    "price": marked("price"),
}


def columns_read(price_list: PriceList) -> ColumnsRead | None:
    """Write which column was read as what; None where none was."""
    places = price_list.reading.get("places")
    if not places:
        return None
    heads = price_list.reading["heads"]
    words = [
        gettext("%(what)s: column %(column)s") % {"what": gettext(word), "column": _column(places[key], heads.get(key))}
        for key, word in _COLUMN_WORDS.items()
        if key in places
    ]
    price = heads.get("price", "")
    return ColumnsRead("; ".join(words), price if head_name(price) in PIECE_PRICES else "")


def _column(place: int, head: str | None) -> str:
    name = column_name(place)
    return gettext("%(column)s (%(head)s)") % {"column": name, "head": head} if head else name


def column_name(place: int) -> str:
    """Return a column's name in a spreadsheet: A for 0, AA for 26."""
    before, last = divmod(place, 26)
    return (column_name(before - 1) if before else "") + chr(ord("A") + last)


class HasReading(Protocol):
    """What has the first rows of a file in its ``reading``."""

    reading: Any


def sample_shown(price_list: HasReading) -> tuple[list[str], list[list[str]]]:
    """Return the first rows of a file: the names of the columns, and the cells, all rows as long as the longest."""
    sample = price_list.reading.get("sample", [])
    width = max((len(row) for row in sample), default=0)
    return [column_name(at) for at in range(width)], [row + [""] * (width - len(row)) for row in sample]


def column_choices(price_list: HasReading) -> list[tuple[str, str]]:
    """Return the columns of a file as choices, each with its name and what stands in it."""
    names, rows = sample_shown(price_list)
    filled = max((sum(map(bool, row)) for row in rows), default=0)
    # Titles stand alone in their rows.
    table = [row for row in rows if sum(map(bool, row)) * 2 > filled]
    choices = []
    for at, name in enumerate(names):
        texts = ", ".join(list(dict.fromkeys(row[at] for row in table if row[at]))[:2])
        choices.append((str(at), f"{name}: {texts}" if texts else name))
    return choices
