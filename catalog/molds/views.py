"""Molds: tins, rings, glasses and trays."""

from functools import partial

from django.contrib import messages
from django.db.models import Count
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.utils.translation import gettext
from django.views.decorators.http import require_http_methods, require_safe

from catalog.molds import services
from catalog.molds.forms import MoldForm
from catalog.molds.models import Mold
from catalog.molds.pans import mold_pan
from catalog.web.access import KITCHEN, OWNER, allow
from catalog.web.editor import delete_page
from catalog.web.edits import Edit
from catalog.web.form_data import submitted_data
from catalog.web.roles import sees_costs


@allow(OWNER, KITCHEN)
@require_safe
def molds(request: HttpRequest) -> HttpResponse:
    """Show all molds."""
    rows = [(mold, mold_pan(mold).volume) for mold in Mold.objects.annotate(uses=Count("products"))]
    return render(request, "catalog/molds/list.html", {"rows": rows, "money": sees_costs(request)})


@allow(OWNER)
@require_http_methods(["GET", "HEAD", "POST"])
def mold_new(request: HttpRequest) -> HttpResponse:
    """Add a mold."""
    return _edited(request)


@allow(OWNER)
@require_http_methods(["GET", "HEAD", "POST"])
def mold_edit(request: HttpRequest, pk: int) -> HttpResponse:
    """Change a mold."""
    return _edited(request, pk)


def _edited(request: HttpRequest, pk: int | None = None) -> HttpResponse:
    edit = Edit(
        data=submitted_data(request),
        load=lambda: get_object_or_404(Mold, pk=pk) if pk else None,
        forms=lambda mold, data: MoldForm(data, mold=mold),
        version_of=services.mold_version,
        page=request.path,
    )
    form = edit.forms
    if form.is_bound and form.is_valid() and (saved := edit.saved(partial(_save, request, form, pk))):
        messages.success(request, gettext("%(name)s is saved.") % {"name": saved.name})
        return redirect("molds")
    context = {"form": edit.forms, "mold": edit.record, "edit": edit}
    return render(request, "catalog/molds/edit.html", context, status=edit.status(422 if form.errors else 200))


def _save(request: HttpRequest, form: MoldForm, pk: int | None, version: str) -> Mold:
    by = request.user.get_username()
    return services.mold_save(mold_id=pk, data=form.mold_data(), version=version, by=by, at=timezone.now())


@allow(OWNER)
@require_http_methods(["GET", "HEAD", "POST"])
def mold_delete(request: HttpRequest, pk: int) -> HttpResponse:
    """Delete a mold, or say what is made in it."""
    mold = get_object_or_404(Mold, pk=pk)
    delete = partial(services.mold_delete, mold_id=pk, by=request.user.get_username(), at=timezone.now())
    context = {"mold": mold, "users": list(mold.products.order_by("name"))}
    return delete_page(request, "catalog/molds/delete.html", mold, delete=delete, listing="molds", context=context)
