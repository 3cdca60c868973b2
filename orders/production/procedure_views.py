"""The kitchen's written procedure for time out of the cold: its page, and its PDF."""

from typing import Any

from django.http import HttpRequest, HttpResponse, HttpResponseBase
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext
from django.views.decorators.http import require_POST, require_safe

from catalog.kitchen.selectors import local_day
from catalog.records.errors import CannotPrice
from catalog.records.presenters import sentence
from catalog.web.access import KITCHEN, OWNER, allow
from catalog.web.roles import has_role
from orders.documents.models import PreparedFile
from orders.documents.responses import prepared_or_wait
from orders.production.file_services import procedure_file_ask
from orders.production.procedure import procedure
from orders.production.procedure_content import procedure_content


@require_safe
@allow(OWNER, KITCHEN)
def procedure_view(request: HttpRequest) -> HttpResponse:
    """Show the procedure, to read and to print."""
    context: dict[str, Any] = {"today": local_day(timezone.now()), "owner": has_role(request, OWNER)}
    try:
        found = procedure()
        context |= {"procedure": procedure_content(found), "home": found.kitchen}
    except CannotPrice as error:
        context["stop"] = sentence(error)
    return render(request, "orders/production/procedure/page.html", context)


@require_POST
@allow(OWNER, KITCHEN)
def procedure_pdf(request: HttpRequest) -> HttpResponse:
    """Ask for the procedure as a PDF; the outbox writes it."""
    file = procedure_file_ask(by=request.user.get_username(), at=timezone.now())
    return redirect("procedure-file", pk=file.pk)


@require_safe
@allow(OWNER, KITCHEN)
def procedure_file(request: HttpRequest, pk: int) -> HttpResponseBase:
    """Return the procedure's PDF, or a page that waits for it."""
    file = get_object_or_404(PreparedFile, pk=pk, kind="procedure_file")
    context = {
        "what": gettext("the written procedure"),
        "back": reverse("procedure"),
        "owner": has_role(request, OWNER),
    }
    return prepared_or_wait(request, file, context)
