"""What the owner does with a quote: revise it, withdraw it, open its PDF."""

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext
from django.views.decorators.http import require_safe

from catalog.web import display
from catalog.web.access import OWNER, allow
from catalog.web.actions import sent_to
from catalog.web.form_data import submitted_data
from orders.documents.content import content_read
from orders.documents.responses import file_or_wait
from orders.documents.selectors import requested_pdf
from orders.quotes.draft.allergens import labels_changed
from orders.quotes.draft.allergy_presenters import fine_shown
from orders.quotes.draft.fine_words import fine_sentences
from orders.quotes.forms import WithdrawForm
from orders.quotes.models import Quote
from orders.quotes.send.services import quote_revise, quote_withdraw
from orders.records.errors import NoteUnproven
from orders.records.need_errors import TextUnread
from orders.records.presenters import sentence
from orders.records.states import QUOTE_TRANSITIONS, QuoteEvent


@sent_to("quote")
@allow(OWNER)
def quote_revise_view(request: HttpRequest, pk: int) -> HttpResponse:
    """Create the next revision as a draft."""
    found = get_object_or_404(Quote.objects.select_related("inquiry"), pk=pk)
    stopped = bool(labels_changed([found]))
    draft = quote_revise(quote_id=pk, by=request.user.get_username(), at=timezone.now())
    words = gettext("%(quote)s is started. The sent quote stays valid until you send this one.")
    if stopped:
        words = gettext("%(quote)s is started. The sent quote cannot be approved as it is: send this one.")
    messages.success(request, words % {"quote": draft})
    return redirect("inquiry", pk=draft.inquiry_id)


@allow(OWNER)
def quote_withdraw_page(request: HttpRequest, pk: int) -> HttpResponse:
    """Withdraw a quote, or discard a draft."""
    found = get_object_or_404(Quote.objects.select_related("inquiry__customer"), pk=pk)
    if request.method != "POST" and QuoteEvent.WITHDRAW not in QUOTE_TRANSITIONS[found.status]:
        facts = {"quote": found, "status": display.status(found)}
        messages.error(request, gettext("%(quote)s is %(status)s, so it cannot be withdrawn.") % facts)
        return redirect("quote", pk=pk)
    form = WithdrawForm(submitted_data(request))
    if request.method == "POST" and form.is_valid():
        reason = form.cleaned_data["reason"]
        try:
            by, read = request.user.get_username(), request.POST.getlist("read")
            quote_withdraw(quote_id=pk, reason=reason, read=read, by=by, at=timezone.now())
        except TextUnread as refusal:
            form.add_error(refusal.place, sentence(refusal))
            form.asked = fine_shown(fine_sentences(reason, found))
        except NoteUnproven as refusal:
            form.add_error(refusal.place, sentence(refusal))
        else:
            messages.success(request, gettext("%(quote)s is withdrawn.") % {"quote": found})
            return redirect("inquiry", pk=found.inquiry_id)
    return render(request, "orders/quotes/withdraw.html", {"quote": found, "form": form})


@require_safe
@allow(OWNER)
def quote_pdf(request: HttpRequest, pk: int) -> HttpResponse:
    """Return the PDF as it was issued, or a page that waits for it; an erased one is not made again."""
    found = get_object_or_404(Quote.objects.select_related("pdf"), pk=pk, sent_at__isnull=False)
    if found.pdf is None and content_read(found.content).erased:
        raise Http404
    file = requested_pdf(found.pdf, kind="quote_pdf", about=f"quote:{pk}")
    context = {"what": str(found), "back": reverse("quote", args=[pk]), "owner": True}
    return file_or_wait(request, file, context, inline=True)
