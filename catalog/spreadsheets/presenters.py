"""What a page says of a spreadsheet: what importing does, rows to correct, questions, what undoing left."""

from collections import Counter
from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from decimal import Decimal
from typing import Any, Final

from django.utils.translation import gettext, ngettext

from catalog.pantry.presenters import allergen_words
from catalog.price_lists.presenters import column_choices, column_name, sample_shown
from catalog.records.presenters import Writers, counted, reason_sentence
from catalog.records.reasons import Reason, reason_from_json
from catalog.spreadsheets.columns import Column
from catalog.spreadsheets.forms import SpreadsheetColumnsForm
from catalog.spreadsheets.kinds import kind_of
from catalog.spreadsheets.models import Spreadsheet
from catalog.spreadsheets.words import (
    CHANGES,
    COLUMN_UNSAID,
    COLUMN_WORDS,
    DECISIONS,
    ONE_FOR_ALL,
    QUESTIONS,
    SENTENCES,
)
from catalog.web import display
from catalog.web.measure_fields import measure_input

#: Records shown on a page.
SHOWN: Final = 200
#: Lines of a recipe, and rows, that a detail names.
_LINES: Final = 12
_WRITERS: Final[Writers] = {
    "allergens": allergen_words,
    "amount": measure_input,
    "share": lambda share: display.rate(Decimal(share)),
    "chain": " → ".join,
    "column": lambda key: gettext(COLUMN_WORDS[key]),
    "some": lambda texts: _some(texts),
    "measured": lambda lines: _some([_line(line) for line in lines]),
    "priced": lambda packs: counted([_pack(pack) for pack in packs]),
    "rows": lambda rows: _named_rows(rows),
}


def _line(line: str | Sequence[str]) -> str:
    """Write an amount of something by the kitchen's locale; a list that was read earlier has it as one text."""
    return line if isinstance(line, str) else f"{measure_input(line[0])} {line[1]}"


def _pack(pack: str | Sequence[str]) -> str:
    return pack if isinstance(pack, str) else f"{measure_input(pack[0])}, {display.amount(Decimal(pack[1]))}"


def _some(texts: Sequence[str]) -> str:
    """Write the first texts, and count the others."""
    shown = ", ".join(texts[:_LINES])
    if len(texts) <= _LINES:
        return shown
    return gettext("%(names)s and %(count)s more") % {"names": shown, "count": len(texts) - _LINES}


def _named_rows(rows: Sequence[int]) -> str:
    return ngettext("row %(rows)s", "rows %(rows)s", len(rows)) % {"rows": ", ".join(map(str, rows[:_LINES]))}


def problem_sentence(reason: Reason) -> str:
    """Write the problem of a row or a file, what becomes of a record, or what stays."""
    return reason_sentence(reason, SENTENCES, _WRITERS)


def stored_sentence(stored: Mapping[str, Any]) -> str:
    """Write a reason that is stored as JSON."""
    return problem_sentence(reason_from_json(stored))


@dataclass(frozen=True, slots=True)
class ItemShown:
    """A record as the page shows it: its rows, what becomes of it, and the details."""

    name: str
    rows: str
    change: str
    words: str
    details: str


def items_shown(items: Iterable[Mapping[str, Any]], open_rows: Collection[int] = ()) -> list[ItemShown]:
    """Write records, those that an import writes before those that stay and those that wait for a row."""
    order = list(CHANGES)
    return [
        ItemShown(
            item["name"],
            _rows(item["rows"]),
            item["change"],
            gettext(CHANGES[item["change"]]),
            "; ".join([*map(stored_sentence, item["details"]), *_waits(item, open_rows)]),
        )
        for item in sorted(items, key=lambda item: order.index(item["change"]))
    ]


def _waits(item: Mapping[str, Any], open_rows: Collection[int]) -> Iterator[str]:
    if rows := [row for row in item["rows"] if row in open_rows]:
        yield problem_sentence(Reason("open", {"rows": rows}))


def _rows(rows: list[int]) -> str:
    first, last = min(rows), max(rows)
    return str(first) if first == last else f"{first}–{last}"


def counts(spreadsheet: Spreadsheet) -> Counter[str]:
    """Count the records by what becomes of them."""
    return Counter(item["change"] for item in spreadsheet.plan.get("items", ()))


@dataclass(slots=True)
class CellShown:
    """A cell of a row to correct."""

    key: str
    label: str
    text: str
    wrong: bool = False
    long: bool = False


@dataclass(slots=True)
class RowShown:
    """A row with problems: what is wrong, and its cells."""

    row: int
    problems: list[str] = field(default_factory=list)
    wrong: set[str] = field(default_factory=set)
    cells: list[CellShown] = field(default_factory=list)


def rows_shown(
    spreadsheet: Spreadsheet, entered: Mapping[int, Mapping[str, str]], *, most: int
) -> tuple[list[RowShown], int]:
    """Return the first rows with problems, and how many more there are; ``entered`` is what was not stored."""
    found: dict[int, RowShown] = {}
    first_in: dict[str, int] = {}
    others = _others(spreadsheet.plan.get("problems", ()))
    for problem in spreadsheet.plan.get("problems", ()):
        row, words = found.setdefault(problem["row"], RowShown(problem["row"])), _named_problem(problem)
        if words in others and first_in.setdefault(words, problem["row"]) != problem["row"]:
            row.problems.append(gettext("The same as in row %(n)s.") % {"n": first_in[words]})
        else:
            row.problems += [words, *_same_below(others.get(words, []))]
        row.wrong.add(problem["column"])
    columns = kind_of(spreadsheet.holds).columns
    lines = {line["row"]: line["cells"] for line in spreadsheet.lines if line["row"] in found}
    first = [found[number] for number in sorted(found)][:most]
    for row in first:
        row.cells = _cells(columns, {**lines.get(row.row, {}), **entered.get(row.row, {})}, row.wrong)
    return first, len(found) - len(first)


def _others(problems: Iterable[Mapping[str, Any]]) -> dict[str, list[int]]:
    """Return the rows after the first that have one and the same problem, which one entry elsewhere solves for all."""
    rows: dict[str, list[int]] = {}
    for problem in problems:
        if problem["reason"]["code"] in ONE_FOR_ALL:
            rows.setdefault(_named_problem(problem), []).append(problem["row"])
    return {words: same[1:] for words, same in rows.items() if len(same) > 1}


def _same_below(rows: Sequence[int]) -> Iterator[str]:
    if rows:
        yield gettext("The same holds for %(rows)s.") % {"rows": _named_rows(rows)}


def _named_problem(problem: Mapping[str, Any]) -> str:
    """Write what is wrong in a row, with its column where the sentence alone does not say what it is about."""
    words, key = stored_sentence(problem["reason"]), problem["column"]
    if problem["reason"]["code"] not in COLUMN_UNSAID or key not in COLUMN_WORDS:
        return words
    return gettext("%(column)s: %(problem)s") % {"column": gettext(COLUMN_WORDS[key]), "problem": words}


def _cells(columns: Iterable[Column], cells: Mapping[str, str], wrong: set[str]) -> list[CellShown]:
    shown = (column for column in columns if cells.get(column.key) or column.key in wrong)
    return [
        CellShown(
            column.key,
            gettext(COLUMN_WORDS[column.key]),
            (text := cells.get(column.key, "")),
            column.key in wrong,
            "\n" in text or len(text) > 200,
        )
        for column in shown
    ]


@dataclass(frozen=True, slots=True)
class QuestionShown:
    """A question with its choices; ``other`` where a name can be entered instead.

    ``entered`` is a name that was entered and that nothing goes by.
    """

    key: str
    words: str
    rows: str
    choices: list[tuple[str, str]]
    other: bool
    entered: str = ""
    nothing: str = ""
    #: The answer that was given, where it can be changed.
    chosen: str = ""
    #: What is entered where there is nothing to choose.
    label: str = ""
    #: Where it stands on the page: decide, ask, or known (from an earlier file).
    section: str = "ask"


def decisions_shown(spreadsheet: Spreadsheet, *, most: int) -> list[QuestionShown]:
    """Ask of the records that are there already and differ whether they are replaced, first those not decided."""
    items = [item for item in spreadsheet.plan.get("items", ()) if "key" in item]
    given = {"change": "replace", "left": "leave"}
    return [
        QuestionShown(
            item["key"],
            gettext("%(name)s is there already: %(details)s.")
            % {"name": item["name"], "details": "; ".join(map(stored_sentence, item["details"]))},
            _rows(item["rows"]),
            [(code, gettext(text)) for code, text in DECISIONS.items()],
            other=False,
            chosen=given.get(item["change"], ""),
            section="decide",
        )
        for item in sorted(items, key=lambda item: item["change"] != "asked")[:most]
    ]


def remembered_shown(spreadsheet: Spreadsheet) -> list[QuestionShown]:
    """Write what names mean by the answers of earlier files; each can be answered otherwise."""
    found = spreadsheet.plan.get("remembered", {})
    words = gettext("“%(item)s” is read as %(name)s, as in an earlier file.")
    return [
        QuestionShown(
            key,
            words % {"item": key.removeprefix("name:"), "name": name.removeprefix("is:")},
            "",
            [],
            other=True,
            label=gettext("Or it is"),
            section="known",
        )
        for key, name in found.items()
    ]


def questions_shown(spreadsheet: Spreadsheet, *, most: int) -> list[QuestionShown]:
    """Write the first questions, those about many rows first."""
    questions = sorted(spreadsheet.plan.get("questions", ()), key=lambda one: -len(one["rows"]))
    return [_question(one, spreadsheet.answers.get(one["key"], "")) for one in questions[:most]]


def _question(one: Mapping[str, Any], answer: str) -> QuestionShown:
    words, answers = QUESTIONS[one["code"]]
    shown = one["rows"][:8]
    rows = ", ".join(map(str, shown)) + (" …" if len(one["rows"]) > len(shown) else "")
    # An answer that left the question open names nothing.
    entered = answer.removeprefix("is:") if answer.startswith("is:") else ""
    nothing = gettext("“%(name)s” is not the name of anything here. Choose one from the list, or correct the name.")
    return QuestionShown(
        one["key"],
        gettext(words).format(**one["params"]),
        rows,
        [(code, gettext(text).format(**one["params"])) for code, text in answers.items()],
        one["code"] in ("unknown", "likely", "file_category"),
        entered,
        nothing % {"name": entered} if entered else "",
        label="" if answers else gettext(COLUMN_WORDS["category"]),
    )


def columns_read(spreadsheet: Spreadsheet) -> str:
    """Write which column was read as what; empty where none was."""
    places, heads = spreadsheet.choice.get("places", {}), spreadsheet.choice.get("heads", {})
    words = []
    for key in (column.key for column in kind_of(spreadsheet.holds).columns if column.key in places):
        place = column_name(places[key])
        head = f"{place} ({heads[key]})" if heads.get(key) else place
        words.append(gettext("%(what)s: column %(column)s") % {"what": gettext(COLUMN_WORDS[key]), "column": head})
    return "; ".join(words)


def columns_unread(spreadsheet: Spreadsheet) -> list[str]:
    """Name the columns that hold something and are not read: by their heads, or by their places."""
    return [head or column_name(place) for place, head in spreadsheet.choice.get("unread", ())]


def columns_form(spreadsheet: Spreadsheet, data: Any = None) -> SpreadsheetColumnsForm | None:
    """Return the form that chooses columns; None where the rows of the file are gone."""
    choices = column_choices(spreadsheet)
    if spreadsheet.status not in ("read", "choose") or not choices or spreadsheet.file_deleted_at:
        return None
    rows = spreadsheet.reading.get("numbers", [])
    initial = {**spreadsheet.choice.get("places", {}), "head_row": spreadsheet.choice.get("head_row", rows[0])}
    return SpreadsheetColumnsForm(
        data,
        columns=kind_of(spreadsheet.holds).columns,
        words={key: gettext(text) for key, text in COLUMN_WORDS.items()},
        choices=choices,
        rows=sorted({*rows, spreadsheet.choice.get("head_row") or rows[0]}),
        initial=initial,
    )


def sample_rows(spreadsheet: Spreadsheet) -> tuple[list[str], list[tuple[int, list[str]]]]:
    """Return the names of the columns, and the first rows with their numbers."""
    names, rows = sample_shown(spreadsheet)
    return names, list(zip(spreadsheet.reading.get("numbers", []), rows, strict=False))


def left_words(spreadsheet: Spreadsheet) -> list[str]:
    """Write what undoing an import left, and why."""
    return [stored_sentence(reason) for reason in spreadsheet.undone.get("left", ())]
