"""Pay and stations."""

from datetime import timedelta
from functools import partial
from typing import Any

from django.conf import settings
from django.contrib import messages
from django.http import HttpRequest, HttpResponse, QueryDict
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.module_loading import import_string
from django.utils.translation import gettext
from django.views.decorators.http import require_POST

from catalog.kitchen.models import Kitchen
from catalog.kitchen.selectors import kitchen
from catalog.rates import services
from catalog.rates.forms import RoleForm, StationForm
from catalog.rates.models import Role, Station, StationOut
from catalog.rates.out_forms import StationOutForm
from catalog.rates.overhead import station_rates
from catalog.rates.presenters import station_rates_shown
from catalog.rates.selectors import outs_ahead, role_rows
from catalog.rates.station_words import counted_words, outs_shown, span_words, tolerance_words
from catalog.records.presenters import users_words
from catalog.records.uses import users_of
from catalog.web.access import OWNER, allow
from catalog.web.actions import sent_to
from catalog.web.editor import deleted
from catalog.web.edits import Edit
from catalog.web.form_data import submitted_data
from catalog.web.money_fields import amounts
from catalog.web.undo import undoable


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
    outs = outs_ahead(day=timezone.localdate())
    rows = [
        (station, rate, counted_words(station, outs.get(station.pk, ())))
        for station, rate in station_rates_shown(station_rates())
    ]
    context = {"rows": rows, "kitchen_profile": kitchen()}
    return render(request, "catalog/rates/stations.html", context)


@allow(OWNER)
def station_edit(request: HttpRequest, pk: int | None = None) -> HttpResponse:
    """Create or change a station."""
    edit = _station_edit(request, submitted_data(request), pk)
    form = edit.forms
    if form.is_bound and form.is_valid():
        save = partial(services.station_save, station_id=pk, **amounts(form.cleaned_data))
        if saved := edit.saved(lambda version: save(version=version)):
            messages.success(request, gettext("%(name)s is saved.") % {"name": saved})
            return redirect("kitchen-stations")
    return _station_page(request, edit)


def _station_edit(request: HttpRequest, data: QueryDict | None, pk: int | None) -> Edit[Station | None, StationForm]:
    return Edit(
        data=data,
        load=lambda: get_object_or_404(Station, pk=pk) if pk else None,
        forms=_station_form,
        version_of=services.row_version,
        page=request.path,
    )


def _station_page(
    request: HttpRequest, edit: Edit[Station | None, StationForm], out_form: StationOutForm | None = None
) -> HttpResponse:
    """Show a station; one that exists with the times in which it is out of order."""
    station, home = edit.record, kitchen()
    context: dict[str, Any] = {"form": edit.forms, "edit": edit, "station": station, "currency": home.currency}
    context["out_form"] = None
    if station:
        context["row"] = station_rates_shown(station_rates(station))[0]
        context["users"] = users_words(users_of(station))
        context |= _counted(station, home) | {"out_form": out_form or _out_form(station, None)}
    status = 422 if out_form else edit.status()
    return render(request, "catalog/rates/station.html", context, status=status)


def _counted(station: Station, home: Kitchen) -> dict[str, Any]:
    """Return what a plan counts of a station, and each time out of order with what is promised in it."""
    outs, ahead = list(station.outs.all()), outs_ahead(day=timezone.localdate()).get(station.pk, [])
    promised = import_string(settings.PROMISED_BETWEEN)
    # What leaves on the day after is made on the day before it: common practice, no source.
    named = [(out, promised(out.first_day, out.last_day + timedelta(days=1)) if out in ahead else []) for out in outs]
    words = {"counted": counted_words(station, ahead), "tolerance": tolerance_words(station, home.degrees)}
    return words | {"outs": outs_shown(named)}


def _station_form(station: Station | None, data: QueryDict | None) -> StationForm:
    keys = ("kind", "monthly_hours", "hourly", "places", "air_c", "air", "count", "tolerance_c")
    initial = {"name": str(station)} | {key: getattr(station, key) for key in keys} if station else {}
    return StationForm(data, kitchen=kitchen(), station=station, initial=initial)


def _out_form(station: Station, data: QueryDict | None) -> StationOutForm:
    return StationOutForm(data, station=station, month_first=kitchen().country == "US")


@allow(OWNER)
@sent_to("kitchen-stations-edit")
def station_out_add(request: HttpRequest, pk: int) -> HttpResponse:
    """Add a time in which a station is out of order."""
    station = get_object_or_404(Station, pk=pk)
    form = _out_form(station, submitted_data(request))
    if not form.is_valid():
        return _station_page(request, _station_edit(request, None, pk), form)
    out = services.station_out_add(station_id=pk, data=form.out_data())
    words = {"name": station, "span": span_words(out)}
    messages.success(request, gettext("%(name)s: out of order %(span)s is added.") % words)
    return redirect("kitchen-stations-edit", pk=pk)


@allow(OWNER)
@require_POST
def station_out_remove(request: HttpRequest, pk: int) -> HttpResponse:
    """Remove a time in which a station is out of order; it can be undone."""
    out = get_object_or_404(StationOut.objects.select_related("station"), pk=pk)
    name = gettext("%(name)s: out of order %(span)s") % {"name": out.station, "span": span_words(out)}
    say = undoable(request, out, partial(services.station_out_remove, out_id=pk), name=name)
    page = reverse("kitchen-stations-edit", args=[out.station_id])
    say(gettext("%(name)s is removed.") % {"name": name}, page)
    return redirect(page)


@allow(OWNER)
@require_POST
def station_delete(request: HttpRequest, pk: int) -> HttpResponse:
    """Delete a station nothing needs."""
    station = get_object_or_404(Station, pk=pk)
    return deleted(request, station, partial(services.station_delete, station_id=pk), "kitchen-stations")
