"""Pay and stations."""

from functools import partial

from django.contrib import messages
from django.http import HttpRequest, HttpResponse, QueryDict
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.translation import gettext
from django.views.decorators.http import require_POST

from catalog.kitchen.selectors import kitchen
from catalog.rates import services
from catalog.rates.forms import RoleForm, StationForm
from catalog.rates.models import Role, Station
from catalog.rates.overhead import station_rates
from catalog.rates.presenters import station_rates_shown
from catalog.rates.selectors import role_rows
from catalog.records.presenters import users_words
from catalog.records.uses import users_of
from catalog.web.access import OWNER, allow
from catalog.web.editor import deleted
from catalog.web.edits import Edit
from catalog.web.form_data import submitted_data
from catalog.web.money_fields import amounts


@allow(OWNER)
def roles(request: HttpRequest) -> HttpResponse:
    """List the kinds of work and what an hour of each costs."""
    context = {"rows": role_rows(), "currency": kitchen().currency}
    return render(request, "catalog/rates/roles.html", context)


@allow(OWNER)
def role_edit(request: HttpRequest, pk: int | None = None) -> HttpResponse:
    """Create or change a kind of work."""
    edit = Edit(
        data=submitted_data(request),
        load=lambda: get_object_or_404(Role, pk=pk) if pk else None,
        forms=_role_form,
        version_of=services.row_version,
        page=request.path,
    )
    form = edit.forms
    if form.is_bound and form.is_valid():
        save = partial(services.role_save, role_id=pk, **amounts(form.cleaned_data))
        if saved := edit.saved(lambda version: save(version=version)):
            messages.success(request, gettext("%(name)s is saved.") % {"name": saved})
            return redirect("kitchen-roles")
    role = edit.record
    context = {"form": edit.forms, "edit": edit, "role": role, "users": users_words(users_of(role)) if role else ""}
    return render(request, "catalog/rates/role.html", context, status=edit.status())


def _role_form(role: Role | None, data: QueryDict | None) -> RoleForm:
    initial = {"name": str(role), "hourly": role.hourly, "on_cost": role.on_cost} if role else {}
    return RoleForm(data, kitchen=kitchen(), initial=initial)


@allow(OWNER)
@require_POST
def role_delete(request: HttpRequest, pk: int) -> HttpResponse:
    """Delete a kind of work nothing needs."""
    role = get_object_or_404(Role, pk=pk)
    return deleted(request, role, partial(services.role_delete, role_id=pk), "kitchen-roles")


@allow(OWNER)
def stations(request: HttpRequest) -> HttpResponse:
    """List the stations with their rates."""
    context = {"rows": station_rates_shown(station_rates()), "kitchen_profile": kitchen()}
    return render(request, "catalog/rates/stations.html", context)


@allow(OWNER)
def station_edit(request: HttpRequest, pk: int | None = None) -> HttpResponse:
    """Create or change a station."""
    edit = Edit(
        data=submitted_data(request),
        load=lambda: get_object_or_404(Station, pk=pk) if pk else None,
        forms=_station_form,
        version_of=services.row_version,
        page=request.path,
    )
    form = edit.forms
    if form.is_bound and form.is_valid():
        save = partial(services.station_save, station_id=pk, **amounts(form.cleaned_data))
        if saved := edit.saved(lambda version: save(version=version)):
            messages.success(request, gettext("%(name)s is saved.") % {"name": saved})
            return redirect("kitchen-stations")
    station = edit.record
    row = station_rates_shown(station_rates(station))[0] if station else None
    context = {"form": edit.forms, "edit": edit, "station": station, "row": row, "currency": kitchen().currency}
    context["users"] = users_words(users_of(station)) if station else ""
    return render(request, "catalog/rates/station.html", context, status=edit.status())


def _station_form(station: Station | None, data: QueryDict | None) -> StationForm:
    keys = ("kind", "monthly_hours", "hourly", "places", "air_c", "air")
    initial = {"name": str(station)} | {key: getattr(station, key) for key in keys} if station else {}
    return StationForm(data, kitchen=kitchen(), initial=initial)


@allow(OWNER)
@require_POST
def station_delete(request: HttpRequest, pk: int) -> HttpResponse:
    """Delete a station nothing needs."""
    station = get_object_or_404(Station, pk=pk)
    return deleted(request, station, partial(services.station_delete, station_id=pk), "kitchen-stations")
