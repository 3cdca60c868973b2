"""Spreadsheets of the kitchen's own: upload, choose columns, check, correct, import, undo, export."""

from collections.abc import Mapping
from typing import Final

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.utils.http import content_disposition_header
from django.utils.translation import gettext, ngettext
from django.views.decorators.http import require_safe

from catalog.records.errors import CatalogError
from catalog.records.presenters import sentence
from catalog.spreadsheets import imports, presenters, services
from catalog.spreadsheets.export_content import export_csv
from catalog.spreadsheets.forms import SpreadsheetColumnsForm, SpreadsheetForm, answers_entered, cells_entered
from catalog.spreadsheets.kinds import kind_of
from catalog.spreadsheets.kitchen_form import KitchenFileForm
from catalog.spreadsheets.models import Spreadsheet
from catalog.spreadsheets.selectors import names_offered, reading_given_up, rows_to_correct
from catalog.web.access import OWNER, allow
from catalog.web.actions import sent_to
from catalog.web.form_data import step_seen, submitted_data

#: Rows to correct, and questions, on a page; the others follow once these are done.
_ROWS: Final = 50
_NOTHING: Final[Mapping[int, Mapping[str, str]]] = {}
#: What a button says of all records that are there already and not decided.
_UNDECIDED: Final[Mapping[str, str]] = {"replace-all": "replace", "leave-all": "leave"}
_LISTED: Final = ("file_name", "holds", "status", "uploaded_at", "uploaded_by")
_XLSX: Final = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"


@allow(OWNER)
def spreadsheets(request: HttpRequest) -> HttpResponse:
    """List the uploaded files and accept a new one; link the exports."""
    form = SpreadsheetForm(submitted_data(request), request.FILES or None, initial=_initial(request))
    if request.method == "POST" and form.is_valid():
        file, by = form.cleaned_data["file"], request.user.get_username()
        made = services.spreadsheet_upload(
            holds=form.cleaned_data["holds"], file_name=file.name, body=file.read(), by=by, at=timezone.now()
        )
        return redirect("spreadsheet", pk=made.pk)
    return spreadsheets_page(request, form=form)


def spreadsheets_page(
    request: HttpRequest,
    *,
    form: SpreadsheetForm | None = None,
    kitchen_form: KitchenFileForm | None = None,
    status: int = 200,
) -> HttpResponse:
    """Show the uploaded files, the exports, and what takes a file in."""
    context = {
        "form": form or SpreadsheetForm(initial=_initial(request)),
        "kitchen_form": kitchen_form or KitchenFileForm(),
        "files": Spreadsheet.objects.only(*_LISTED)[:50],
        "kinds": Spreadsheet.Holds.choices,
    }
    return render(request, "catalog/spreadsheets/spreadsheets.html", context, status=status)


def _initial(request: HttpRequest) -> dict[str, str]:
    return {"holds": request.GET.get("holds", "")}


@require_safe
@allow(OWNER)
def spreadsheet_export(request: HttpRequest, holds: str, kind: str) -> HttpResponse:
    """Download all records of a kind."""
    if holds not in Spreadsheet.Holds.values or kind not in ("csv", "xlsx"):
        raise Http404
    if kind == "csv":
        body = export_csv(holds)
    else:
        from catalog.spreadsheets.xlsx_export import export_xlsx  # loads the library for workbooks, which is slow

        body = export_xlsx(holds, at=timezone.now())
    content_type = "text/csv; charset=utf-8" if kind == "csv" else _XLSX
    return downloaded(body, content_type, f"{holds}-{timezone.localdate().isoformat()}.{kind}")


def downloaded(body: str | bytes, content_type: str, name: str) -> HttpResponse:
    """Answer with a file to save."""
    response = HttpResponse(body, content_type=content_type)
    response["Content-Disposition"] = content_disposition_header(True, name) or "attachment"
    response["Cache-Control"] = "no-store"
    return response


@allow(OWNER)
def spreadsheet(request: HttpRequest, pk: int) -> HttpResponse:
    """Show what a file would do, and its problems, as the kitchen is now."""
    imports.spreadsheet_solved_elsewhere(spreadsheet_id=pk)
    return _page(request, _found(pk))


def _found(pk: int) -> Spreadsheet:
    return get_object_or_404(Spreadsheet.objects.defer("body", "grid"), pk=pk)


def _page(
    request: HttpRequest,
    found: Spreadsheet,
    *,
    form: SpreadsheetColumnsForm | None = None,
    entered: Mapping[int, Mapping[str, str]] = _NOTHING,
    status: int = 200,
) -> HttpResponse:
    is_open = found.status in ("read", "applied")
    rows, more = presenters.rows_shown(found, entered, most=_ROWS) if is_open else ([], 0)
    questions = presenters.questions_shown(found, most=_ROWS) if is_open else []
    decisions = presenters.decisions_shown(found, most=_ROWS) if is_open else []
    known = presenters.remembered_shown(found) if is_open else []
    items = found.plan.get("items", ())
    counts = presenters.counts(found)
    context = {
        "file": found,
        "items": presenters.items_shown(items, rows_to_correct(found))[: presenters.SHOWN],
        "more_items": max(0, len(items) - presenters.SHOWN),
        "done": presenters.items_shown(found.plan.get("done", ()))[: presenters.SHOWN],
        "counts": counts,
        "ready": counts["new"] + counts["change"],
        "rows": rows,
        "more": more,
        "decisions": decisions,
        "numbered": list(enumerate([*decisions, *questions, *known])),
        "known": known,
        "more_decisions": sum("key" in item for item in items) - len(decisions),
        "questions": questions,
        "more_questions": len(found.plan.get("questions", ())) - len(questions),
        "unknown": sum(one["code"] == "unknown" for one in found.plan.get("questions", ())),
        "names": names_offered(found) if questions or known else [],
        "problem": presenters.stored_sentence(found.reading["problem"]) if found.status == "unreadable" else "",
        "columns": presenters.columns_read(found),
        "unread": presenters.columns_unread(found) if found.status in ("read", "applied") else [],
        "columns_form": form or presenters.columns_form(found),
        "sample": presenters.sample_rows(found),
        "left": presenters.left_words(found),
        "given_up": reading_given_up(found),
    }
    return render(request, "catalog/spreadsheets/spreadsheet.html", context, status=status)


@allow(OWNER)
@sent_to("spreadsheet")
def spreadsheet_sheet(request: HttpRequest, pk: int) -> HttpResponse:
    """Choose another sheet of a workbook, which is read then."""
    found, sheet = _found(pk), request.POST.get("sheet", "")
    if sheet in found.reading.get("sheets", ()):
        try:
            services.spreadsheet_choose_sheet(
                spreadsheet_id=pk, seen=step_seen(request), sheet=sheet, at=timezone.now()
            )
        except CatalogError as error:
            messages.error(request, sentence(error))
    return redirect("spreadsheet", pk=pk)


@allow(OWNER)
@sent_to("spreadsheet")
def spreadsheet_columns(request: HttpRequest, pk: int) -> HttpResponse:
    """Choose the columns of a sheet."""
    found = _found(pk)
    form = presenters.columns_form(found, request.POST)
    if form is None:
        return redirect("spreadsheet", pk=pk)
    if not form.is_valid():
        return _page(request, found, form=form, status=422)
    head_row = form.cleaned_data["head_row"]
    try:
        services.spreadsheet_choose(spreadsheet_id=pk, seen=step_seen(request), places=form.places, head_row=head_row)
    except CatalogError as error:
        messages.error(request, sentence(error))
    return redirect("spreadsheet", pk=pk)


@allow(OWNER)
@sent_to("spreadsheet")
def spreadsheet_correct(request: HttpRequest, pk: int) -> HttpResponse:
    """Correct rows, answer questions, or add all that is unknown."""
    found = _found(pk)
    entered = cells_entered(request.POST, [column.key for column in kind_of(found.holds).columns])
    answers, seen = answers_entered(request.POST), step_seen(request)
    try:
        left = services.spreadsheet_correct(
            spreadsheet_id=pk,
            seen=seen,
            cells=entered,
            answers=answers,
            add_unknown=request.POST.get("do") == "add-unknown",
            undecided=_UNDECIDED.get(request.POST.get("do", ""), ""),
        )
    except CatalogError as error:
        messages.error(request, sentence(error))
        return _page(request, _found(pk), entered=entered, status=409)
    if left:
        words = ngettext("Saved. %(n)s row is still to correct.", "Saved. %(n)s rows are still to correct.", left)
        messages.success(request, words % {"n": left})
    else:
        messages.success(request, _saved_words(presenters.counts(_found(pk))["asked"]))
    return redirect("spreadsheet", pk=pk)


def _saved_words(asked: int) -> str:
    """Say that all rows are in order, and how many records wait to be decided."""
    if not asked:
        return gettext("Saved. Every row can be imported.")
    words = ngettext(
        "Saved. %(n)s record that is there already waits for your choice.",
        "Saved. %(n)s records that are there already wait for your choice.",
        asked,
    )
    return words % {"n": asked}


@allow(OWNER)
@sent_to("spreadsheet")
def spreadsheet_import(request: HttpRequest, pk: int) -> HttpResponse:
    """Import the records of a file that are ready."""
    _found(pk)
    by, now = request.user.get_username(), timezone.now()
    try:
        done = imports.spreadsheet_import(spreadsheet_id=pk, seen=step_seen(request), by=by, at=now)
    except CatalogError as error:
        messages.error(request, sentence(error))
        imports.spreadsheet_compare_again(spreadsheet_id=pk)
    else:
        words = ngettext("%(n)s record is imported.", "%(n)s records are imported.", done)
        messages.success(request, words % {"n": done})
    return redirect("spreadsheet", pk=pk)


@allow(OWNER)
@sent_to("spreadsheet")
def spreadsheet_undo(request: HttpRequest, pk: int) -> HttpResponse:
    """Undo all that was imported of a file."""
    _found(pk)
    by, now = request.user.get_username(), timezone.now()
    try:
        undone = imports.spreadsheet_undo(spreadsheet_id=pk, seen=step_seen(request), by=by, at=now)
    except CatalogError as error:
        messages.error(request, sentence(error))
    else:
        if undone.left:
            messages.success(request, gettext("The import is undone in part. What stays is listed below."))
        else:
            words = ngettext(
                "The import is undone: %(n)s record is removed or as it was before.",
                "The import is undone: %(n)s records are removed or as they were before.",
                undone.records,
            )
            messages.success(request, words % {"n": undone.records})
    return redirect("spreadsheet", pk=pk)


@allow(OWNER)
@sent_to("spreadsheet")
def spreadsheet_drop(request: HttpRequest, pk: int) -> HttpResponse:
    """Discard a file."""
    _found(pk)
    try:
        services.spreadsheet_drop(spreadsheet_id=pk)
    except CatalogError as error:
        messages.error(request, sentence(error))
        return redirect("spreadsheet", pk=pk)
    messages.success(request, gettext("The file is discarded. Nothing was changed."))
    return redirect("spreadsheets")
