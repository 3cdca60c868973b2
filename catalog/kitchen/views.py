"""The kitchen's profile and its hours."""

from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone

from catalog.kitchen.forms import ProfileForm
from catalog.kitchen.hours_forms import ClosedDayFormSet, OpenHoursFormSet
from catalog.kitchen.models import ClosedDay, OpenHours
from catalog.kitchen.selectors import currency_locked, kitchen
from catalog.kitchen.services import hours_save, profile_save
from catalog.web.access import OWNER, allow
from catalog.web.form_data import submitted_data
from catalog.web.money_fields import amounts


@allow(OWNER)
def profile(request: HttpRequest) -> HttpResponse:
    """Show and change the profile; the first visit sets the kitchen up."""
    home = kitchen()
    new = home._state.adding
    initial = {"initial": {**_initial(home), "name": "", "email": ""}} if new else {}
    form = ProfileForm(submitted_data(request), kitchen=home, currency_locked=currency_locked(), **initial)
    if request.method == "POST" and form.is_valid():
        profile_save(data=amounts(form.cleaned_data))
        messages.success(request, "The kitchen is set up. Hours and pay come next." if new else "The profile is saved.")
        return redirect("kitchen-hours" if new else "kitchen-profile")
    return render(request, "catalog/kitchen/profile.html", {"form": form, "new": new})


def _initial(home: Any) -> dict[str, Any]:
    return {key: getattr(home, key) for key in ProfileForm.base_fields}


@allow(OWNER)
def hours(request: HttpRequest) -> HttpResponse:
    """Show and change when somebody works."""
    if request.method == "POST":
        week: Any = OpenHoursFormSet(request.POST, prefix="week")
        closed: Any = ClosedDayFormSet(request.POST, prefix="closed")
        if week.is_valid() and closed.is_valid():
            hours_save(intervals=week.intervals(), closed=closed.days())
            messages.success(request, "The hours are saved.")
            return redirect("kitchen-hours")
    else:
        rows: list[Any] = list(OpenHours.objects.values("weekday", "opens", "closes")) or [
            {"weekday": day} for day in range(7)
        ]
        week = OpenHoursFormSet(prefix="week", initial=rows)
        closed = ClosedDayFormSet(prefix="closed", initial=list(ClosedDay.objects.values("date", "reason")))
    context = {"week": week, "closed": closed, "today": timezone.localdate()}
    return render(request, "catalog/kitchen/hours.html", context)
