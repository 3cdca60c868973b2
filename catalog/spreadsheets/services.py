"""A spreadsheet of the kitchen's own: upload, reading, choosing sheet and columns, corrections, discarding."""

import hashlib
from collections.abc import Mapping
from contextlib import suppress
from datetime import datetime
from typing import Any, Final

from django.db import transaction
from django.db.models import F

from catalog.outbox.models import Outbox
from catalog.outbox.services import outbox_add
from catalog.price_lists.names import tidy
from catalog.records.errors import SpreadsheetNotReady
from catalog.records.reasons import Reason, reason_to_json
from catalog.records.steps import row_changed, row_to_change
from catalog.records.unreadable import Unreadable
from catalog.spreadsheets.cells import unmarked
from catalog.spreadsheets.columns import Choice, Grid, choice_proposed, lines_below, unread_columns
from catalog.spreadsheets.kinds import kind_of
from catalog.spreadsheets.models import Spreadsheet
from catalog.spreadsheets.plan import Plan
from catalog.spreadsheets.reader_process import grid_read
from catalog.spreadsheets.selectors import heads_remembered, names_remembered, rows_to_correct, work_about

Status = Spreadsheet.Status
_OPEN: Final = (Status.READ, Status.APPLIED)
#: Rows, columns and characters of a cell that are shown of a file, so that its columns can be chosen.
_SAMPLE: Final = (10, 20, 40)


def refused(why: Reason) -> SpreadsheetNotReady:
    """Return the refusal of a step."""
    return SpreadsheetNotReady(why=why)


def to_change(spreadsheet_id: int, seen: int | None, among: tuple[str, ...]) -> Spreadsheet:
    """Return a spreadsheet that is changed in this transaction; ``seen`` is its step as the page showed it.

    Raises
    ------
    SpreadsheetNotReady
        If its status is another, or something was done to it since.
    """
    return row_to_change(Spreadsheet.objects.defer("body"), spreadsheet_id, seen, among, refused, "file")


def changed(spreadsheet: Spreadsheet, **changes: Any) -> None:
    """Write columns of a spreadsheet, if nothing was done to it since it was read.

    Raises
    ------
    SpreadsheetNotReady
        If something was.
    """
    row_changed(spreadsheet, refused, "file", **changes)


@transaction.atomic(durable=True)
def spreadsheet_upload(*, holds: str, file_name: str, body: bytes, by: str, at: datetime) -> Spreadsheet:
    """Store an uploaded file and request that it is read right after the commit."""
    spreadsheet = Spreadsheet.objects.create(
        holds=holds,
        file_name=file_name[-200:],
        body=body,
        sha256=hashlib.sha256(body).hexdigest(),
        uploaded_at=at,
        uploaded_by=by,
    )
    _ask_to_read(spreadsheet, at)
    return spreadsheet


def _ask_to_read(spreadsheet: Spreadsheet, at: datetime) -> None:
    outbox_add(
        kind="spreadsheet",
        payload={"spreadsheet": spreadsheet.pk},
        about=work_about(spreadsheet.pk),
        summary=spreadsheet.holds,
        at=at,
    )


def spreadsheet_read(*, row: Outbox, at: datetime) -> None:
    """Read an uploaded file into rows (the outbox's handler; safe to run twice)."""
    spreadsheet_compare(spreadsheet_id=int(row.payload["spreadsheet"]))


def spreadsheet_compare(*, spreadsheet_id: int) -> None:
    """Read a waiting file, propose its columns and compare its rows with what the kitchen has.

    The file is read in a process of its own and outside any transaction, however long it takes: nobody waits for it.
    """
    spreadsheet = Spreadsheet.objects.get(pk=spreadsheet_id)
    if spreadsheet.status != Status.WAITING or spreadsheet.file_deleted_at is not None:
        return
    heads = [list(column.heads) for column in kind_of(spreadsheet.holds).columns]
    try:
        grid = grid_read(spreadsheet.file_name, bytes(spreadsheet.body), heads, spreadsheet.choice.get("sheet", ""))
    except Unreadable as unreadable:
        problem = reason_to_json(Reason(unreadable.code, unreadable.params))
        _store(spreadsheet, status=Status.UNREADABLE, reading={"problem": problem})
        return
    _read(spreadsheet, grid)


@transaction.atomic(durable=True)
def _read(spreadsheet: Spreadsheet, grid: Grid) -> None:
    rows, columns, characters = _SAMPLE
    grid.rows = [(number, [unmarked(cell) for cell in cells]) for number, cells in grid.rows]
    sample = [[cell[:characters] for cell in cells[:columns]] for _, cells in grid.rows[:rows]]
    numbers = [number for number, _ in grid.rows[:rows]]
    spreadsheet.reading = {"sheets": grid.sheets, "sheet": grid.sheet, "sample": sample, "numbers": numbers}
    spreadsheet.grid = grid.rows
    choice = choice_proposed(grid.rows, kind_of(spreadsheet.holds).columns, heads_remembered(spreadsheet.holds))
    stored = {"reading": spreadsheet.reading, "grid": spreadsheet.grid}
    if choice is None:
        _store(spreadsheet, status=Status.CHOOSE, lines=[], plan={}, **stored)
    elif not lines_below(grid.rows, choice):
        problem = {"problem": reason_to_json(Reason("heads_alone"))}
        _store(spreadsheet, status=Status.UNREADABLE, reading=problem)
    else:
        _store(spreadsheet, **stored, **_lined(spreadsheet, choice, by_hand=False))


def _lined(spreadsheet: Spreadsheet, choice: Choice, *, by_hand: bool) -> dict[str, Any]:
    """Return the columns of a file whose columns are known: its lines, and what importing them does."""
    kind = kind_of(spreadsheet.holds)
    lines = kind.lines(lines_below(spreadsheet.grid, choice))
    unread = unread_columns(spreadsheet.grid, choice)
    held = {"sheet": spreadsheet.reading["sheet"], "by_hand": by_hand, "unread": unread, **choice.to_json()}
    return {"status": Status.READ, "choice": held, "lines": lines, **planned(spreadsheet, lines)}


def planned_of(
    spreadsheet: Spreadsheet, lines: list[dict[str, Any]], answers: Mapping[str, str], *, lock: bool = False
) -> Plan:
    """Return what importing some lines would do, with ``lock`` after locking what is written next."""
    remembered = names_remembered(spreadsheet)
    plan = kind_of(spreadsheet.holds).plan(lines, {**remembered, **answers}, lock)
    plan.decide(answers)
    met = {f"name:{tidy(line['cells'].get('ingredient', ''))}" for line in lines}
    plan.remembered = {key: name for key, name in remembered.items() if key in met and key not in answers}
    return plan


def planned(
    spreadsheet: Spreadsheet, lines: list[dict[str, Any]], answers: Any = None, done: Any = None
) -> dict[str, Any]:
    """Return the column with what importing the lines that wait would do, and what was imported before."""
    waiting = [line for line in lines if not line.get("done")]
    answers = spreadsheet.answers if answers is None else answers
    plan = planned_of(spreadsheet, waiting, answers).to_json()
    return {"plan": plan | {"done": spreadsheet.plan.get("done", []) if done is None else done}}


def _store(spreadsheet: Spreadsheet, **columns: Any) -> None:
    # Conditional: a file that was discarded, or whose sheet was chosen anew meanwhile, stays as it is.
    with suppress(SpreadsheetNotReady):
        changed(spreadsheet, **columns)


@transaction.atomic(durable=True)
def spreadsheet_choose_sheet(*, spreadsheet_id: int, seen: int | None, sheet: str, at: datetime) -> None:
    """Read another sheet of the workbook; what was chosen and corrected so far goes.

    Raises
    ------
    SpreadsheetNotReady
        If it is being read, was imported or discarded, its file was deleted, or it was changed since it was shown.
    """
    spreadsheet = to_change(spreadsheet_id, seen, (Status.READ, Status.CHOOSE))
    if spreadsheet.file_deleted_at is not None:
        raise refused(Reason("file_gone"))
    changed(spreadsheet, status=Status.WAITING, choice={"sheet": sheet}, lines=[], plan={}, answers={})
    _ask_to_read(spreadsheet, at)


@transaction.atomic(durable=True)
def spreadsheet_choose(*, spreadsheet_id: int, seen: int | None, places: Mapping[str, int], head_row: int) -> None:
    """Store which column holds what, for the next such file too; corrections made so far go.

    ``places`` has the place of each column (the first is 0), ``head_row`` the number of the row with the heads or 0.

    Raises
    ------
    SpreadsheetNotReady
        As :func:`spreadsheet_choose_sheet`.
    """
    spreadsheet = to_change(spreadsheet_id, seen, (Status.READ, Status.CHOOSE))
    if not spreadsheet.grid:
        raise refused(Reason("file_gone"))
    cells: list[str] = next((cells for number, cells in spreadsheet.grid if number == head_row), [])
    heads = {key: cells[at][:80] if at < len(cells) else "" for key, at in places.items()} if cells else {}
    changed(spreadsheet, **_lined(spreadsheet, Choice(places, heads, head_row), by_hand=True))


@transaction.atomic(durable=True)
def spreadsheet_correct(
    *,
    spreadsheet_id: int,
    seen: int | None,
    cells: Mapping[int, Mapping[str, str]],
    answers: Mapping[str, str],
    add_unknown: bool = False,
    undecided: str = "",
) -> int:
    """Store corrected cells by row and answers by question, compare anew; return how many rows are still to correct.

    With ``add_unknown`` every unknown name without an answer becomes a new ingredient. ``undecided`` is replace or
    leave for every record that is there already and was not decided.

    Raises
    ------
    SpreadsheetNotReady
        If the file is being read, could not be, was discarded, or was changed since it was shown.
    """
    spreadsheet = to_change(spreadsheet_id, seen, _OPEN)
    lines = [
        line
        if line.get("done") or line["row"] not in cells
        else {**line, "cells": _corrected(line["cells"], cells[line["row"]])}
        for line in spreadsheet.lines
    ]
    asked = spreadsheet.plan.get("questions", ()) if add_unknown else ()
    unknown = {one["key"]: "add" for one in asked if one["code"] == "unknown"}
    items = spreadsheet.plan.get("items", ()) if undecided else ()
    decided = {one["key"]: undecided for one in items if one["change"] == "asked"}
    given = _named(spreadsheet, {key: answer for key, answer in answers.items() if answer})
    # A button for all of them goes before what stands beside each, which is empty where nothing was chosen.
    held = {**spreadsheet.answers, **unknown, **decided, **given}
    plan = planned(spreadsheet, lines, held)
    changed(spreadsheet, lines=lines, answers=held, **plan)
    spreadsheet.plan = plan["plan"]
    return len(rows_to_correct(spreadsheet))


def _named(spreadsheet: Spreadsheet, answers: Mapping[str, str]) -> dict[str, str]:
    """Return answers with the names that were meant by "yes" of recipes' lines, so that later files know them too."""
    if spreadsheet.holds != Spreadsheet.Holds.RECIPES:
        return dict(answers)
    asked = {one["key"]: one for one in spreadsheet.plan.get("questions", ()) if one["code"] == "likely"}
    return {
        key: f"is:{asked[key]['params']['name']}" if answer == "same" and key in asked else answer
        for key, answer in answers.items()
    }


def _corrected(cells: Mapping[str, str], entered: Mapping[str, str]) -> dict[str, str]:
    """Return the cells of a row as corrected, with those for which the file has no column."""
    return {**cells, **{key: text for key, text in entered.items() if text or key in cells}}


@transaction.atomic(durable=True)
def spreadsheet_drop(*, spreadsheet_id: int) -> None:
    """Drop a file; nothing of it is imported, and its rows go.

    Raises
    ------
    SpreadsheetNotReady
        If it was imported already.
    """
    open_ones = Spreadsheet.objects.filter(pk=spreadsheet_id).exclude(status=Status.APPLIED)
    empty: dict[str, Any] = {"body": b"", "grid": [], "lines": [], "plan": {}, "answers": {}, "reading": {}}
    if not open_ones.update(status=Status.DROPPED, step=F("step") + 1, **empty):
        raise refused(Reason("file_applied"))
