"""The day: what the owner and the kitchen see first. The bookkeeper begins with the register."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_safe

from catalog.access import BOOKKEEPER, KITCHEN, OWNER, allow
from orders.selectors.day import LAPSING, the_day
from orders.views.roles import has_role


@require_safe
@allow(OWNER, KITCHEN, BOOKKEEPER)
def day(request: HttpRequest) -> HttpResponse:
    """Show today and tomorrow at a glance."""
    if not has_role(request, OWNER, KITCHEN):
        return redirect("money-register")
    now, owner = timezone.now(), has_role(request, OWNER)
    context = {"day": the_day(at=now, owner=owner), "owner": owner, "lapsing": now + LAPSING, "now": now}
    return render(request, "orders/day/day.html", context)
