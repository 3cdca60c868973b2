"""The kitchen's calendar: working hours, hand-over hours, days that differ, closed days, the most of a day."""

from functools import partial
from typing import Any

from django.conf import settings
from django.contrib import messages
from django.db.models import Model
from django.http import HttpRequest, HttpResponse, QueryDict
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.module_loading import import_string
from django.utils.translation import get_language, gettext

from catalog.book.selectors import book_as_it_stands
from catalog.kitchen.hours_forms import HoursForms
from catalog.kitchen.hours_presenters import promised_line, promised_words
from catalog.kitchen.models import ClosedDay, DatedHours, HandOverHours, Kitchen, OpenHours
from catalog.kitchen.public_holidays import PublicHoliday, public_holidays
from catalog.kitchen.selectors import kitchen, without_dates
from catalog.kitchen.services import hours_save, hours_version
from catalog.web.access import OWNER, allow
from catalog.web.edits import Edit
from catalog.web.form_data import submitted_data
from costing.contract import Book


@allow(OWNER)
def hours(request: HttpRequest) -> HttpResponse:
    """Show and change when somebody works and when things are handed over."""
    data = submitted_data(request)
    edit = Edit(data=data, load=kitchen, forms=_forms, version_of=hours_version, page=request.path)
    before = book_as_it_stands()
    if data is not None and edit.forms.is_valid() and edit.saved(partial(_save, edit)):
        messages.success(request, gettext("The hours are saved."))
        promised = _promised(before, book_as_it_stands())
        if promised:
            messages.warning(request, promised_words(promised))
        return redirect("kitchen-hours")
    context = {
        "forms": edit.forms,
        "edit": edit,
        "set_up": not edit.record._state.adding,
        "promised": [{"pk": one.pk, "line": promised_line(one)} for one in _promised_on_dates(before)],
    }
    return render(request, "catalog/kitchen/hours.html", context, status=edit.status())


def _promised_on_dates(book: Book) -> Any:
    """Return what is promised on dates that differ from their weekday, today or later."""
    dates = [*(one.date for one in book.closed or ()), *(one.date for one in book.days or ())]
    return _promised(without_dates(book), book) if any(day >= timezone.localdate() for day in dates) else ()


def _promised(before: Any, after: Any) -> Any:
    return import_string(settings.PROMISED_OUTSIDE)(before=before, after=after, at=timezone.now())


def _forms(home: Kitchen, data: QueryDict | None) -> HoursForms:
    week = _stored(OpenHours, "weekday", "opens", "closes", "hands")
    rows = {
        "week": week or [{"weekday": day} for day in range(7)],
        "handover": _stored(HandOverHours, "weekday", "opens", "closes"),
        "days": _stored(DatedHours, "date", "opens", "closes", "hands", "reason"),
        "closed": _stored(ClosedDay, "date", "reason"),
    }
    limits = {"most_events": home.most_events_per_day, "most_guests": home.most_guests_per_day}
    # What was ticked may be entered meanwhile: only a page that is opened leaves that out.
    entered = {row["date"] for row in (*rows["days"], *rows["closed"])} if data is None else set()
    return HoursForms(data, rows=rows, limits=limits, offered=_offered(home, entered))


def _stored(model: type[Model], *columns: str) -> list[dict[str, Any]]:
    return list(model._default_manager.values(*columns))


def _offered(home: Kitchen, entered: set[Any]) -> tuple[PublicHoliday, ...]:
    """Return the public holidays ahead of which nothing is entered yet."""
    ahead = public_holidays(home.country, since=timezone.localdate(), language=get_language() or "")
    return tuple(one for one in ahead if one.day not in entered)


def _save(edit: Edit[Kitchen, HoursForms], version: str) -> bool:
    hours_save(calendar=edit.forms.calendar(), version=version)
    return True
