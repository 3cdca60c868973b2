"""Monthly figures with the rates that follow from them, and delivery."""

from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_POST

from catalog.kitchen.models import Kitchen
from catalog.kitchen.selectors import kitchen
from catalog.rates.forms import DeliveryForm, MonthlyCostFormSet, OverheadForm
from catalog.rates.models import MonthlyCost, Station
from catalog.rates.overhead import overhead_rates
from catalog.rates.presenters import RateShown, rates_shown
from catalog.rates.services import delivery_save, overhead_save
from catalog.web.access import OWNER, allow
from catalog.web.form_data import submitted_data
from catalog.web.money_fields import amounts


def _forms(request: HttpRequest, home: Kitchen) -> tuple[OverheadForm, Any]:
    form_kwargs = {"kitchen": home, "stations": list(Station.objects.all())}
    if request.method == "POST":
        costs = MonthlyCostFormSet(request.POST, prefix="costs", form_kwargs=form_kwargs)
        return OverheadForm(request.POST, kitchen=home), costs
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
    home = kitchen()
    if home._state.adding:
        return _set_up_first(request)
    form, costs = _forms(request, home)
    if request.method == "POST" and form.is_valid() and costs.is_valid():
        overhead_save(**amounts(form.cleaned_data), costs=costs.costs())
        messages.success(request, "The monthly figures are saved.")
        return redirect("kitchen-overhead")
    rates = _rates_written(form, costs) if form.is_bound else rates_shown(overhead_rates(home))
    context = {"form": form, "costs": costs, "rates": rates, "currency": home.currency}
    return render(request, "catalog/rates/overhead.html", context)


@allow(OWNER)
@require_POST
def overhead_figures(request: HttpRequest) -> HttpResponse:
    """Return the rates derived from the figures in the form, saved or not."""
    home = kitchen()
    context = {"rates": _rates_written(*_forms(request, home)), "currency": home.currency}
    return render(request, "catalog/rates/derived_rates.html", context)


def _rates_written(form: OverheadForm, costs: Any) -> list[RateShown]:
    """Derive the rates from what can be read of the form; what cannot be read counts as empty."""
    form.is_valid()
    read = amounts(form.cleaned_data)
    unsaved = Kitchen(**{key: read.get(key) for key in form.fields})
    return rates_shown(overhead_rates(unsaved, costs=costs.costs()))


def _set_up_first(request: HttpRequest) -> HttpResponse:
    messages.info(request, "Set the kitchen up first: its currency decides how amounts are written.")
    return redirect("kitchen-profile")


@allow(OWNER)
def delivery(request: HttpRequest) -> HttpResponse:
    """Show and change how delivery is paid, charged and taxed."""
    home = kitchen()
    if home._state.adding:
        return _set_up_first(request)
    form = DeliveryForm(submitted_data(request), kitchen=home)
    if request.method == "POST" and form.is_valid():
        data = form.cleaned_data
        role, tax = data["role"], data["tax"]
        delivery_save(
            role_id=role.pk if role else None,
            per_km=data["per_km"],
            margin=data["margin"],
            tax_id=tax.pk if tax else None,
        )
        messages.success(request, "Delivery is saved.")
        return redirect("kitchen-delivery")
    return render(request, "catalog/rates/delivery.html", {"form": form, "kitchen_profile": home})
