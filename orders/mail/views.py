"""The list of mails, and retrying one."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _
from django.views.decorators.http import require_POST, require_safe

from catalog.outbox.services import outbox_retry
from catalog.web.access import OWNER, allow
from orders.mail.presenters import mails_shown
from orders.mail.selectors import mails

VIEWS = {"": _("All"), "failed": _("Not sent"), "waiting": _("On its way")}


@require_safe
@allow(OWNER)
def mail(request: HttpRequest) -> HttpResponse:
    """List mails and files with their outcome."""
    show = request.GET.get("show", "")
    show = show if show in VIEWS else ""
    page = mails(show=show, page=request.GET.get("page", 1))
    views = [(word, name, word == show) for word, name in VIEWS.items()]
    rows = list(
        zip(page.object_list, [one.state for one in mails_shown(mail.row for mail in page.object_list)], strict=True)
    )
    return render(request, "orders/mail/list.html", {"page": page, "rows": rows, "views": views, "show": show})


@require_POST
@allow(OWNER)
def mail_again(request: HttpRequest, pk: int) -> HttpResponse:
    """Retry a mail now."""
    outbox_retry(row_id=pk, at=timezone.now())
    messages.success(request, gettext("Trying again now."))
    return redirect("mail")
