"""The day: what everybody sees first of their own work."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_safe

from catalog.cooling.open_recipes import recipes_open
from catalog.first_steps.presenters import StepShown, steps_shown
from catalog.first_steps.selectors import first_steps
from catalog.kitchen.presenters import choice_asked
from catalog.kitchen.selectors import kitchen
from catalog.upkeep.presenters import upkeep_notes
from catalog.upkeep.selectors import upkeep
from catalog.web.access import BOOKKEEPER, KITCHEN, OWNER, allow
from catalog.web.roles import buttons, sees_prices
from orders.inquiries.selectors import latest_open
from orders.production.day import EXPIRING, messages_unseen, the_day
from orders.production.day_presenters import coming_shown, late_shown, messages_shown, week_shown
from orders.quotes.selectors import a_quote_was_sent


@require_safe
@allow(OWNER, KITCHEN, BOOKKEEPER)
def day(request: HttpRequest) -> HttpResponse:
    """Show what begins, leaves, was written and is owed, each role its part."""
    now, may = timezone.now(), buttons(request)
    found = the_day(at=now, **may, money=sees_prices(request))
    context = {
        "day": found,
        "coming": coming_shown(found.coming, today=found.today, now=now),
        "late": late_shown(found.late, today=found.today, now=now),
        "week": week_shown(found.week, today=found.today),
        "messages_new": messages_shown(found.messages),
        "upkeep": upkeep_notes(upkeep(at=now)) if may["owner"] else [],
        "divided": choice_asked(kitchen().food_safety) if may["owner"] else "",
        "first_steps": _first_steps() if may["owner"] and not a_quote_was_sent() else [],
        "expiring": now + EXPIRING,
        "now": now,
        **may,
    }
    return render(request, "orders/production/day.html", context)


@require_safe
@allow(OWNER)
def messages_unread(request: HttpRequest) -> HttpResponse:
    """List all that customers wrote and nobody has read; what may name a need comes first."""
    messages = messages_shown(messages_unseen(timezone.now()))
    return render(request, "orders/production/messages.html", {"messages_new": messages})


def _first_steps() -> list[StepShown]:
    """Return what a new kitchen does first; an inquiry that is being quoted is gone on with."""
    inquiry = latest_open()
    found = recipes_open()
    hot = None if found is None else [(one.key, one.name) for one in found]
    return steps_shown(first_steps(hot), quote_url=reverse("inquiry", args=[inquiry]) if inquiry else "")
