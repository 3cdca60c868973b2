"""Vessels: tubs, hotel pans, trays, pots and bowls."""

from functools import partial

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.utils.translation import gettext
from django.views.decorators.http import require_http_methods, require_safe

from catalog.vessels import services
from catalog.vessels.forms import VesselForm
from catalog.vessels.models import Vessel
from catalog.vessels.selectors import vessel_list, vessel_users
from catalog.web.access import KITCHEN, OWNER, allow
from catalog.web.editor import delete_page
from catalog.web.edits import Edit
from catalog.web.form_data import submitted_data
from catalog.web.roles import has_role


@allow(OWNER, KITCHEN)
@require_safe
def vessels(request: HttpRequest) -> HttpResponse:
    """Show all vessels."""
    context = {"rows": vessel_list(), "edits": has_role(request, OWNER)}
    return render(request, "catalog/vessels/list.html", context)


@allow(OWNER)
@require_http_methods(["GET", "HEAD", "POST"])
def vessel_new(request: HttpRequest) -> HttpResponse:
    """Add a vessel."""
    return _edited(request)


@allow(OWNER)
@require_http_methods(["GET", "HEAD", "POST"])
def vessel_edit(request: HttpRequest, pk: int) -> HttpResponse:
    """Change a vessel."""
    return _edited(request, pk)


def _edited(request: HttpRequest, pk: int | None = None) -> HttpResponse:
    edit = Edit(
        data=submitted_data(request),
        load=lambda: get_object_or_404(Vessel, pk=pk) if pk else None,
        forms=lambda vessel, data: VesselForm(data, vessel=vessel),
        version_of=services.vessel_version,
        page=request.path,
    )
    form = edit.forms
    if form.is_bound and form.is_valid() and (saved := edit.saved(partial(_save, request, form, pk))):
        messages.success(request, gettext("%(name)s is saved.") % {"name": saved.name})
        return redirect("vessels")
    context = {"form": edit.forms, "vessel": edit.record, "edit": edit}
    return render(request, "catalog/vessels/edit.html", context, status=edit.status(422 if form.errors else 200))


def _save(request: HttpRequest, form: VesselForm, pk: int | None, version: str) -> Vessel:
    by = request.user.get_username()
    return services.vessel_save(vessel_id=pk, data=form.vessel_data(), version=version, by=by, at=timezone.now())


@allow(OWNER)
@require_http_methods(["GET", "HEAD", "POST"])
def vessel_delete(request: HttpRequest, pk: int) -> HttpResponse:
    """Delete a vessel, or say which recipes cool in it."""
    vessel = get_object_or_404(Vessel, pk=pk)
    delete = partial(services.vessel_delete, vessel_id=pk, by=request.user.get_username(), at=timezone.now())
    context = {"vessel": vessel, "users": vessel_users(vessel)}
    template = "catalog/vessels/delete.html"
    return delete_page(request, template, vessel, delete=delete, listing="vessels", context=context)
