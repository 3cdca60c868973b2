"""Suppliers' price lists: upload, check what changes, import."""

from collections import Counter
from collections.abc import Mapping
from typing import Any, Final

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.utils.translation import gettext, ngettext

from catalog.kitchen.selectors import kitchen
from catalog.pantry.models import Ingredient, Supplier
from catalog.price_lists import corrections, imports, presenters, services
from catalog.price_lists.corrections import Correction
from catalog.price_lists.forms import ColumnsForm, PriceListForm, StartsForm, corrections_entered
from catalog.price_lists.models import PriceList
from catalog.price_lists.rows_presenters import name_groups, rows_open
from catalog.price_lists.selectors import reading_given_up
from catalog.records.errors import CatalogError, PackDatesOverlap
from catalog.records.presenters import counted, sentence
from catalog.web.access import OWNER, allow
from catalog.web.actions import sent_to
from catalog.web.form_data import step_seen, submitted_data

#: Rows to correct and names to check on a page; the others follow once these are done.
_ROWS: Final = 50
_NAMES: Final = 200
_NOTHING: Final[Mapping[int, Correction]] = {}


@allow(OWNER)
def price_lists(request: HttpRequest) -> HttpResponse:
    """List the uploaded lists and accept a new one."""
    initial = {"starts": timezone.localdate()}
    form = PriceListForm(submitted_data(request), request.FILES or None, kitchen=kitchen(), initial=initial)
    if request.method == "POST" and form.is_valid():
        return redirect("price-list", pk=_uploaded(request, form.cleaned_data).pk)
    context = {
        "form": form,
        "lists": PriceList.objects.select_related("supplier").only("supplier__name", *_LISTED)[:50],
        "suppliers": Supplier.objects.values_list("name", flat=True),
    }
    return render(request, "catalog/price_lists/price_lists.html", context)


_LISTED: Final = ("file_name", "starts", "status", "uploaded_at", "uploaded_by")


def _uploaded(request: HttpRequest, data: dict[str, Any]) -> PriceList:
    file = data["file"]
    return services.price_list_upload(
        supplier=data["supplier"],
        file_name=file.name,
        body=file.read(),
        starts=data["starts"],
        instead_of=data["instead_of"],
        by=request.user.get_username(),
        at=timezone.now(),
    )


@allow(OWNER)
def price_list(request: HttpRequest, pk: int) -> HttpResponse:
    """Show what a list would change, and its problems."""
    return _page(request, _found(pk))


def _found(pk: int) -> PriceList:
    return get_object_or_404(PriceList.objects.select_related("supplier").defer("body"), pk=pk)


def _page(
    request: HttpRequest,
    found: PriceList,
    *,
    columns_form: ColumnsForm | None = None,
    starts_form: StartsForm | None = None,
    entered: Mapping[int, Correction] = _NOTHING,
    status: int = 200,
) -> HttpResponse:
    ready = imports.rows_ready(found) if found.status in ("read", "applied") else []
    rows = rows_open(found, entered)
    names, wrong = [row for row in rows if row.asks_name], [row for row in rows if not row.asks_name]
    context = {
        "list": found,
        "other_goods": any(row.get("other_good") for row in found.rows),
        "ready": presenters.rows_shown(ready),
        "imported": presenters.rows_shown(presenters.rows_imported(found)),
        "changes": Counter(row["change"] for row in found.rows if not row.get("done")),
        "done": sum(bool(row.get("done")) for row in found.rows),
        "same_day": len(corrections.same_day_rows(found.errors)),
        "kitchen_profile": kitchen(),
        "problems": presenters.list_problems(found),
        "to_correct": wrong[:_ROWS],
        "wrong": len(wrong),
        "more": max(len(wrong) - _ROWS, 0),
        "names": len(names),
        "name_groups": name_groups(names[:_NAMES]),
        "more_names": max(len(names) - _NAMES, 0),
        "unknown": sum(row.kind == "unknown_item" for row in rows),
        "ingredients": Ingredient.objects.filter(active=True).values_list("name", flat=True) if rows else [],
        "repeated": presenters.repeated_words(found),
        "columns": presenters.columns_read(found),
        "columns_form": columns_form or _columns_form(found),
        "too_early": any(error["reason"]["code"] in ("later", "same_day") for error in found.errors),
        "starts_form": starts_form or StartsForm(kitchen=kitchen(), initial={"starts": found.starts}),
        "sample": presenters.sample_shown(found),
        "left": presenters.left_words(found),
        "beside": presenters.beside_words(found),
        "given_up": (given_up := reading_given_up(found)),
        "upload_form": _another_file(found) if given_up or found.status == "unreadable" else None,
    }
    return render(request, "catalog/price_lists/price_list.html", context, status=status)


def _another_file(found: PriceList) -> PriceListForm:
    """Return the form that uploads another file of the same supplier in the place of one that could not be read."""
    initial = {"supplier": found.supplier.name, "starts": found.starts, "instead_of": found.pk}
    return PriceListForm(kitchen=kitchen(), initial=initial)


def _columns_form(found: PriceList, data: Any = None) -> ColumnsForm | None:
    """Return the form that chooses columns; None where the file cannot be read again."""
    choices = presenters.column_choices(found)
    if found.status not in ("read", "unreadable") or found.file_deleted_at or not choices:
        return None
    return ColumnsForm(data, choices=choices, initial=found.choice or found.reading.get("places", {}))


@allow(OWNER)
@sent_to("price-list")
def price_list_columns(request: HttpRequest, pk: int) -> HttpResponse:
    """Choose the columns of a list, which is read again."""
    found = _found(pk)
    form = _columns_form(found, request.POST)
    if form is None:
        return redirect("price-list", pk=pk)
    if not form.is_valid():
        return _page(request, found, columns_form=form, status=422)
    try:
        services.price_list_choose(price_list_id=pk, seen=step_seen(request), places=form.places, at=timezone.now())
    except CatalogError as error:
        messages.error(request, sentence(error))
    return redirect("price-list", pk=pk)


@allow(OWNER)
@sent_to("price-list")
def price_list_starts(request: HttpRequest, pk: int) -> HttpResponse:
    """Set the first day of a list's prices; its rows are compared again."""
    found, form = _found(pk), StartsForm(request.POST, kitchen=kitchen())
    if not form.is_valid():
        return _page(request, found, starts_form=form, status=422)
    try:
        left = services.price_list_begin(price_list_id=pk, seen=step_seen(request), starts=form.cleaned_data["starts"])
    except CatalogError as error:
        messages.error(request, sentence(error))
    else:
        messages.success(request, _saved_words(left))
    return redirect("price-list", pk=pk)


@allow(OWNER)
@sent_to("price-list")
def price_list_correct(request: HttpRequest, pk: int) -> HttpResponse:
    """Correct rows of a list, or add all that is unknown."""
    entered = corrections_entered(request.POST)
    found = _found(pk)
    try:
        left = corrections.price_list_correct(
            price_list_id=pk,
            seen=step_seen(request),
            corrections=entered,
            add_unknown=request.POST.get("do") == "add-unknown",
            replace_all=request.POST.get("do") == "replace-all",
        )
    except CatalogError as error:
        messages.error(request, sentence(error))
        return _page(request, found, entered={one.row: one for one in entered}, status=409)
    messages.success(request, _saved_words(left))
    return redirect("price-list", pk=pk)


def _saved_words(left: int) -> str:
    """Say that rows are saved, and how many are still to correct."""
    if not left:
        return gettext("Saved. Every row can be imported.")
    return ngettext("Saved. %(n)s row is still to correct.", "Saved. %(n)s rows are still to correct.", left) % {
        "n": left
    }


@allow(OWNER)
@sent_to("price-list")
def price_list_import(request: HttpRequest, pk: int) -> HttpResponse:
    """Import the rows of a list that are ready."""
    _found(pk)
    by, now = request.user.get_username(), timezone.now()
    try:
        done = imports.price_list_import(price_list_id=pk, seen=step_seen(request), by=by, at=now)
    except CatalogError as error:
        messages.error(request, sentence(error))
        if isinstance(error, PackDatesOverlap):
            # What the prices are by now shows beside each row.
            corrections.price_list_correct(price_list_id=pk, seen=None, corrections=())
    else:
        words = ngettext("%(n)s price is imported.", "%(n)s prices are imported.", done.prices) % {"n": done.prices}
        added = ngettext(
            "%(n)s ingredient is added. Read its label next.",
            "%(n)s ingredients are added. Read their labels next.",
            done.ingredients,
        ) % {"n": done.ingredients}
        messages.success(request, f"{words} {added}" if done.ingredients else words)
        if done.unchecked:
            again = gettext("The list has another name for %(names)s. Read the label again: allergens are not checked.")
            messages.warning(request, again % {"names": counted(done.unchecked)})
    return redirect("price-list", pk=pk)


@allow(OWNER)
@sent_to("price-list")
def price_list_undo(request: HttpRequest, pk: int) -> HttpResponse:
    """Undo all that was imported of a list."""
    _found(pk)
    by, now = request.user.get_username(), timezone.now()
    try:
        undone = imports.price_list_undo(price_list_id=pk, seen=step_seen(request), by=by, at=now)
    except CatalogError as error:
        messages.error(request, sentence(error))
    else:
        if undone.left:
            messages.success(request, gettext("The import is undone in part. What stays is listed below."))
        else:
            words = ngettext(
                "The import is undone: %(n)s price is removed.",
                "The import is undone: %(n)s prices are removed.",
                undone.prices,
            )
            messages.success(request, words % {"n": undone.prices})
    return redirect("price-list", pk=pk)


@allow(OWNER)
@sent_to("price-list")
def price_list_drop(request: HttpRequest, pk: int) -> HttpResponse:
    """Drop a list."""
    _found(pk)
    services.price_list_drop(price_list_id=pk)
    messages.success(request, gettext("The price list is discarded. No price was changed."))
    return redirect("price-lists")
