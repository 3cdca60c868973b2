"""Problems of a price list in sentences, for correcting the file."""

from dataclasses import dataclass
from typing import Final

from django.utils.translation import gettext_noop as marked

from catalog.price_lists.models import PriceList
from catalog.records.presenters import Sentences, reason_sentence
from catalog.records.reasons import Reason, reason_from_json
from catalog.web.display import joined

SENTENCES: Final[Sentences] = {
    # The file as a whole.
    "too_many_rows": marked("The list has more than {most} rows. Split it into several files."),
    "too_many_columns": marked("The list has more than {most} columns. Keep the columns item, pack and price."),
    "line_too_long": marked(
        "A line of the file is too long for a price list. Save the list as CSV again, one row per line."
    ),
    "no_rows": marked("The list has no rows below its first row. Add at least one item with pack and price."),
    "no_columns": marked("The first row must name the columns item, pack and price; missing: {missing:and}."),
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
        "“{item}” is not one of your ingredients. Write its name or code as on the ingredients page, or add it there"
        " first."
    ),
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
    "not_a_number": marked("Write the price as a number, such as 24.60."),
    "pack_too_large": marked("“{size}” is more than any supplier packs. Check the pack."),
    "too_dear": marked("The price is more than any pack costs. Check it."),
    "negative": marked("The price is negative. Write it as 0 or more."),
    "twice": marked("{name}, {size} is in row {row} already. Keep one of them."),
    "later": marked("{name}, {size} has a price from {day:day_alone} already. Choose a later first day for the list."),
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
    return reason_sentence(reason, SENTENCES, {"and": joined})
