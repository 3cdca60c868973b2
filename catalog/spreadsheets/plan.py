"""What importing a spreadsheet would do: its items, the rows with problems, and what has to be asked."""

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime
from decimal import Decimal
from typing import Any, Final

from catalog.price_lists.comparison import RowProblem
from catalog.price_lists.names import tidy
from catalog.records.reasons import Reason, reason_to_json
from catalog.spreadsheets.columns import Column, Line

#: Changes of an item that an import writes.
WRITTEN: Final = ("new", "change")
#: Changes of a record that is there already and differs: to be decided, left as it is, replaced.
DECIDED: Final = ("asked", "left", "change")
Cell = str | Decimal | int | None
#: Answers of the owner by the key of the question.
Answers = Mapping[str, str]


@dataclass(slots=True)
class Item:
    """One record: its rows in the file, and what becomes of it (and why, in details).

    ``change`` is new, change, same or waits; of a record that is there already and would change also asked (whether it
    is replaced) or left (as it is). ``content`` is what the writer of its kind needs; it is not stored.
    """

    name: str
    rows: list[int]
    change: str = "new"
    details: list[Reason] = field(default_factory=list)
    content: Any = None
    #: Whether an answer about it said already that what differs is changed.
    agreed: bool = False

    @property
    def key(self) -> str:
        """The key of the question whether it is replaced."""
        return f"replace:{min(self.rows)}:{tidy(self.name)[:200]}"

    def to_json(self) -> dict[str, Any]:
        """Return it as the spreadsheet stores it."""
        details = [reason_to_json(reason) for reason in self.details]
        key = {"key": self.key} if self.change in DECIDED else {}
        return {"name": self.name, "rows": self.rows, "change": self.change, "details": details, **key}


@dataclass(slots=True)
class Question:
    """Something only the owner knows; one answer holds for all its rows.

    ``code`` is unknown or likely (a name), oz (by weight or by volume), bare (a number without a unit), or same (a
    record that may be there already).
    """

    code: str
    key: str
    params: Mapping[str, Any]
    rows: list[int] = field(default_factory=list)

    def to_json(self) -> dict[str, Any]:
        """Return it as the spreadsheet stores it."""
        return {"code": self.code, "key": self.key, "params": dict(self.params), "rows": self.rows}


@dataclass(slots=True)
class Plan:
    """All items, problems and questions of the rows that were not imported."""

    items: list[Item] = field(default_factory=list)
    problems: list[RowProblem] = field(default_factory=list)
    questions: dict[str, Question] = field(default_factory=dict)
    #: What names mean by the answers of earlier files, by question.
    remembered: dict[str, str] = field(default_factory=dict)
    _open: set[int] = field(default_factory=set)

    def problem(self, row: int, column: str, code: str, /, **params: Any) -> None:
        """Note what is wrong in a row."""
        self.problems.append(RowProblem(row, column, Reason(code, params)))
        self._open.add(row)

    def ask(self, code: str, key: str, row: int, /, **params: Any) -> None:
        """Note a question about a row."""
        self.questions.setdefault(key, Question(code, key, params)).rows.append(row)
        self._open.add(row)

    def open_rows_of(self, rows: Iterable[int]) -> bool:
        """Return whether one of these rows has a problem or an open question."""
        return not self._open.isdisjoint(rows)

    def decide(self, answers: Answers) -> None:
        """Let every record that is there already and would change wait until its owner says whether it is replaced."""
        for item in self.items:
            if item.change == "change" and not item.agreed:
                item.change = _DECISIONS.get(answers.get(item.key, ""), "asked")

    def ready(self) -> list[Item]:
        """Return the items that an import writes."""
        return [item for item in self.items if item.change in WRITTEN]

    def to_json(self) -> dict[str, Any]:
        """Return it as the spreadsheet stores it."""
        return {
            "items": [item.to_json() for item in self.items],
            "problems": [problem.to_json() for problem in self.problems],
            "questions": [question.to_json() for question in self.questions.values()],
            "remembered": self.remembered,
        }


_DECISIONS: Final = {"replace": "change", "leave": "left"}
#: What an import made, as JSON that its kind's undoing reads.
Made = dict[str, Any]


@dataclass(frozen=True, slots=True)
class Kind:
    """How one kind of record is read from rows, written, undone and exported; all inside the caller's transaction."""

    columns: tuple[Column, ...]
    #: Makes lines out of the rows below the heads: what stands once for several rows is written to each of them.
    lines: Callable[[list[Line]], list[Line]]
    #: (lines, answers, whether rows are locked because they are written next) -> plan
    plan: Callable[[Sequence[Line], Answers, bool], Plan]
    #: (ready items, user, moment) -> what was made
    write: Callable[[Sequence[Item], str, datetime], Made]
    #: (what was made, user, moment) -> how many records were removed or put back, and what stays
    undo: Callable[[Made, str, datetime], tuple[int, list[Reason]]]
    #: Rows of an export: cells by the keys of the columns.
    export: Callable[[], list[dict[str, Cell]]]


def as_they_stand(lines: list[Line]) -> list[Line]:
    """Return lines whose rows say all about themselves."""
    return lines


def merged(before: Made, more: Made) -> Made:
    """Return what two imports of one file made, list by list."""
    return {key: [*before.get(key, ()), *more.get(key, ())] for key in {**before, **more}}
