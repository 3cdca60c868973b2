"""The day: what the owner and the kitchen see first. The bookkeeper begins with the register."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_safe

from catalog.kitchen.presenters import choice_asked
from catalog.kitchen.selectors import kitchen
from catalog.upkeep.presenters import upkeep_notes
from catalog.upkeep.selectors import upkeep
from catalog.web.access import BOOKKEEPER, KITCHEN, OWNER, allow
from catalog.web.roles import has_role
from orders.production.day import EXPIRING, the_day


@require_safe
@allow(OWNER, KITCHEN, BOOKKEEPER)
def day(request: HttpRequest) -> HttpResponse:
    """Show today and tomorrow at a glance."""
    if not has_role(request, OWNER, KITCHEN):
        return redirect("money-register")
    now, owner = timezone.now(), has_role(request, OWNER)
    context = {"day": the_day(at=now, owner=owner), "owner": owner, "expiring": now + EXPIRING, "now": now}
    context["upkeep"] = upkeep_notes(upkeep(at=now)) if owner else []
    context["divided"] = choice_asked(kitchen().food_safety) if owner else ""
    return render(request, "orders/production/day.html", context)
