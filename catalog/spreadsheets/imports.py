"""Importing the records of a spreadsheet that are ready, all of them at once, and undoing all that its imports did."""

from collections.abc import Mapping
from contextlib import suppress
from dataclasses import dataclass
from datetime import datetime
from typing import Any, Final

from django.db import transaction

from catalog.book.revision import catalog_changed
from catalog.price_lists.imports import undo_from, undo_rest
from catalog.records.errors import SpreadsheetNotReady
from catalog.records.reasons import Reason, reason_to_json
from catalog.spreadsheets.kinds import kind_of
from catalog.spreadsheets.models import Spreadsheet
from catalog.spreadsheets.plan import merged
from catalog.spreadsheets.services import changed, planned, planned_of, refused, to_change

Status = Spreadsheet.Status
#: Problems that are solved on the page of an ingredient.
_ELSEWHERE: Final = frozenset({"no_density", "no_piece_weight", "new_no_density", "new_no_piece_weight"})


@transaction.atomic(durable=True)
def spreadsheet_import(*, spreadsheet_id: int, by: str, at: datetime, seen: int | None = None) -> int:
    """Import every record that is ready, as it was shown; return how many. Rows to correct wait.

    Raises
    ------
    SpreadsheetNotReady
        If no record is ready, the file was not read or discarded, it was changed since it was shown, or what the
        kitchen has was changed since, so that something else would happen than what was shown.
    CatalogError
        If a record is refused for a reason of its kind; nothing is imported.
    """
    spreadsheet = to_change(spreadsheet_id, seen, (Status.READ, Status.APPLIED))
    kind = kind_of(spreadsheet.holds)
    waiting = [line for line in spreadsheet.lines if not line.get("done")]
    plan = planned_of(spreadsheet, waiting, spreadsheet.answers, lock=True)
    ready = plan.ready()
    if not ready:
        raise refused(Reason("file_nothing"))
    if plan.to_json()["items"] != spreadsheet.plan.get("items"):
        raise refused(Reason("file_overtaken"))
    made = kind.write(ready, by, at)
    rows = {row for item in ready for row in item.rows}
    lines = [{**line, "done": True} if line["row"] in rows else line for line in spreadsheet.lines]
    done = [*spreadsheet.plan.get("done", ()), *(item.to_json() for item in ready)]
    columns = planned(spreadsheet, lines, done=done)
    changed(
        spreadsheet,
        status=Status.APPLIED,
        applied_at=at,
        undone={},
        made=merged(spreadsheet.made or spreadsheet.undone.get("rest", {}), made),
        lines=lines,
        **columns,
    )
    catalog_changed()
    return len(ready)


@dataclass(frozen=True, slots=True)
class Undone:
    """How many records undoing removed or put back, and what it left with the reason."""

    records: int
    left: list[Reason]


@transaction.atomic(durable=True)
def spreadsheet_undo(*, spreadsheet_id: int, by: str, at: datetime, seen: int | None = None) -> Undone:
    """Undo all imports of a file, but for what was changed or used since; it can be imported again.

    What stays because it is used goes when this is done again, once nothing uses it any more.

    Raises
    ------
    SpreadsheetNotReady
        If it was not imported, or was changed since it was shown.
    """
    before = Spreadsheet.objects.values_list("undone", flat=True).get(pk=spreadsheet_id)
    spreadsheet = to_change(spreadsheet_id, seen, undo_from(before))
    made = spreadsheet.made if spreadsheet.status == Status.APPLIED else before["rest"]
    records, left = kind_of(spreadsheet.holds).undo(made, by, at)
    lines = [{**line, "done": False} for line in spreadsheet.lines]
    undone = {
        "at": at.isoformat(),
        "by": by,
        "records": records + before.get("records", 0),
        "left": [reason_to_json(reason) for reason in left],
        "rest": undo_rest(made, left),
    }
    plan = planned(spreadsheet, lines, done=[])
    changed(spreadsheet, status=Status.READ, applied_at=None, made={}, undone=undone, lines=lines, **plan)
    catalog_changed()
    return Undone(records, left)


def spreadsheet_solved_elsewhere(*, spreadsheet_id: int) -> None:
    """Compare a file again where a row lacks what may have been entered elsewhere since, such as a density."""
    found = (
        Spreadsheet.objects.filter(pk=spreadsheet_id, status__in=(Status.READ, Status.APPLIED)).defer("body").first()
    )
    problems = found.plan.get("problems", ()) if found else ()
    if found is None or not any(one["reason"]["code"] in _ELSEWHERE for one in problems):
        return
    if planned(found, found.lines)["plan"] != found.plan:
        with suppress(SpreadsheetNotReady):
            spreadsheet_compare_again(spreadsheet_id=spreadsheet_id)


@transaction.atomic(durable=True)
def spreadsheet_compare_again(*, spreadsheet_id: int) -> None:
    """Compare the rows that wait with what the kitchen has by now."""
    spreadsheet = to_change(spreadsheet_id, None, (Status.READ, Status.APPLIED))
    changed(spreadsheet, **planned(spreadsheet, spreadsheet.lines))


#: What goes with a file: the bytes, and the rows where they are about people.
_FILE: Mapping[str, Any] = {"body": b"", "grid": []}
_ROWS: Mapping[str, Any] = {"lines": [], "plan": {}, "answers": {}, "reading": {}, "made": {}, "undone": {}}


def spreadsheet_file_delete(*, spreadsheet_id: int, at: datetime) -> None:
    """Delete the file of a spreadsheet that was read, and its rows where they are about customers.

    It has no transaction of its own.
    """
    read = Spreadsheet.objects.filter(pk=spreadsheet_id, file_deleted_at=None).exclude(status=Status.WAITING)
    read.filter(holds=Spreadsheet.Holds.CUSTOMERS).update(**_ROWS)
    read.update(file_deleted_at=at, **_FILE)


def customers_forget(*, at: datetime) -> None:
    """Delete all files and rows of customers: one of them is erased. It has no transaction of its own."""
    people = Spreadsheet.objects.filter(holds=Spreadsheet.Holds.CUSTOMERS)
    people.exclude(status=Status.APPLIED).update(status=Status.DROPPED)
    people.update(file_deleted_at=at, **_FILE, **_ROWS)
