"""Monthly figures with the rates that follow from them, and delivery."""

from functools import partial
from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse, QueryDict
from django.shortcuts import redirect, render
from django.utils.translation import gettext
from django.views.decorators.http import require_POST

from catalog.kitchen.models import Kitchen, Vehicle
from catalog.kitchen.selectors import kitchen
from catalog.rates.forms import DeliveryForm, MonthlyCostFormSet, OverheadForm
from catalog.rates.models import MonthlyCost, Station
from catalog.rates.overhead import overhead_rates
from catalog.rates.presenters import RateShown, rates_shown
from catalog.rates.services import delivery_save, delivery_version, overhead_save, overhead_version
from catalog.rates.vehicle_forms import VehicleFormSet
from catalog.web.access import OWNER, allow
from catalog.web.edits import Edit
from catalog.web.form_data import submitted_data
from catalog.web.money_fields import amounts


def _forms(home: Kitchen, data: QueryDict | None) -> tuple[OverheadForm, Any]:
    form_kwargs = {"kitchen": home, "stations": list(Station.objects.all())}
    if data is not None:
        costs = MonthlyCostFormSet(data, prefix="costs", form_kwargs=form_kwargs)
        return OverheadForm(data, kitchen=home), costs
    initial = [
        {
            "name": cost.name,
            "amount": cost.amount,
            "carrier": f"station-{cost.station_id}" if cost.station_id else cost.carrier,
        }
        for cost in MonthlyCost.objects.all()
    ]
    return OverheadForm(kitchen=home), MonthlyCostFormSet(prefix="costs", initial=initial, form_kwargs=form_kwargs)


@allow(OWNER)
def overhead(request: HttpRequest) -> HttpResponse:
    """Show and change the monthly figures, with the rates that follow."""
    if kitchen()._state.adding:
        return _set_up_first(request)
    data = submitted_data(request)
    edit = Edit(data=data, load=kitchen, forms=_forms, version_of=overhead_version, page=request.path)
    form, costs = edit.forms
    if form.is_bound and form.is_valid() and costs.is_valid():
        save = partial(overhead_save, **amounts(form.cleaned_data), costs=costs.costs())
        if edit.saved(lambda version: save(version=version)):
            messages.success(request, gettext("The monthly costs are saved."))
            return redirect("kitchen-overhead")
    form, costs = edit.forms
    rates = _rates_written(form, costs) if form.is_bound else rates_shown(overhead_rates(edit.record))
    context = {"form": form, "costs": costs, "edit": edit, "rates": rates, "currency": edit.record.currency}
    return render(request, "catalog/rates/overhead.html", context, status=edit.status())


@allow(OWNER)
@require_POST
def overhead_figures(request: HttpRequest) -> HttpResponse:
    """Return the rates derived from the figures in the form, saved or not."""
    home = kitchen()
    context = {"rates": _rates_written(*_forms(home, request.POST)), "currency": home.currency}
    return render(request, "catalog/rates/derived_rates.html", context)


def _rates_written(form: OverheadForm, costs: Any) -> list[RateShown]:
    """Derive the rates from what can be read of the form; what cannot be read counts as empty."""
    form.is_valid()
    read = amounts(form.cleaned_data)
    unsaved = Kitchen(**{key: read.get(key) for key in form.fields})
    return rates_shown(overhead_rates(unsaved, costs=costs.costs()))


def _set_up_first(request: HttpRequest) -> HttpResponse:
    messages.info(request, gettext("Set up the kitchen first: its currency decides how amounts are written."))
    return redirect("kitchen-profile")


@allow(OWNER)
def delivery(request: HttpRequest) -> HttpResponse:
    """Show and change how delivery is paid, charged and taxed."""
    if kitchen()._state.adding:
        return _set_up_first(request)
    edit = Edit(
        data=submitted_data(request),
        load=kitchen,
        forms=_delivery_forms,
        version_of=delivery_version,
        page=request.path,
    )
    form, vehicles = edit.forms
    if form.is_bound and form.is_valid() and (vehicles.is_valid() or not vehicles.is_bound):
        saved = edit.saved(partial(_delivery_save, form.cleaned_data, vehicles))
        if saved:
            messages.success(request, gettext("Delivery is saved."))
            return redirect("kitchen-delivery")
    form, vehicles = edit.forms
    context = {"form": form, "vehicles": vehicles, "edit": edit, "kitchen_profile": edit.record}
    return render(request, "catalog/rates/delivery.html", context, status=edit.status())


def _delivery_forms(home: Kitchen, data: QueryDict | None) -> tuple[DeliveryForm, Any]:
    # Sent without rows of vehicles, by a program, they stay as they are.
    rows = data if data is not None and "vehicles-TOTAL_FORMS" in data else None
    initial = [{"name": one.name, "cold": one.cold} for one in Vehicle.objects.all()] if rows is None else None
    return DeliveryForm(data, kitchen=home), VehicleFormSet(rows, prefix="vehicles", initial=initial)


def _delivery_save(data: dict[str, Any], vehicles: Any, version: str) -> Kitchen:
    role, tax = data["role"], data["tax"]
    return delivery_save(
        role_id=role.pk if role else None,
        per_km=data["per_km"],
        margin=data["margin"],
        tax_id=tax.pk if tax else None,
        vehicles=vehicles.vehicles() if vehicles.is_bound else None,
        version=version,
    )
