"""A quote as the owner sees it: check and send, follow, revise, withdraw, record a yes."""

from typing import Any

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_POST, require_safe

from catalog.access import OWNER, allow
from costing.errors import InputErrors
from orders.allergens import CAUTION
from orders.errors import OrderError
from orders.forms.drafts_terms import ReasonForm
from orders.forms.quotes import ReplyForm, WithdrawForm, YesForm
from orders.forms.typed import typed
from orders.models import Quote
from orders.selectors.quotes import quote_check, quote_file
from orders.selectors.windows import window_check
from orders.services.answers import messages_seen, quote_record_approval, quote_reply
from orders.services.links import links_revoke
from orders.services.moves import allowed_events
from orders.services.quotes import quote_revise, quote_send, quote_withdraw
from orders.states import QuoteEvent, QuoteStatus


@require_safe
@allow(OWNER)
def quote(request: HttpRequest, pk: int) -> HttpResponse:
    """Show one revision with everything that happened to it; a draft is composed on its enquiry's sheet."""
    found = get_object_or_404(Quote, pk=pk)
    if found.status == QuoteStatus.DRAFT:
        return redirect("enquiry", pk=found.enquiry_id)
    return render(request, "orders/quotes/quote.html", _file_context(pk))


def _file_context(pk: int, **more: Any) -> dict[str, Any]:
    file = quote_file(pk)
    events = allowed_events(file.quote)
    number_is_over = any(one.status in (QuoteStatus.APPROVED, QuoteStatus.DRAFT) for one in file.revisions)
    return {
        "file": file,
        "quote": file.quote,
        "events": events,
        "can_revise": not number_is_over and file.quote.enquiry.closed_at is None,
        "can_withdraw": QuoteEvent.WITHDRAW in events,
        "can_record_yes": QuoteEvent.APPROVE in events,
        "unseen": any(said.seen_at is None for said in file.messages),
        "reply": ReplyForm(),
        **more,
    }


@allow(OWNER)
def quote_send_page(request: HttpRequest, pk: int) -> HttpResponse:
    """Look once more at what the customer gets, then send it."""
    found = get_object_or_404(Quote, pk=pk)
    if found.status != QuoteStatus.DRAFT:
        return redirect("quote", pk=pk)
    check = quote_check(pk, at=timezone.now())
    unread = request.method == "POST" and bool(check.reckoning.clashes) and "allergies" not in request.POST
    if request.method == "POST" and not unread and _sent(request, pk):
        return redirect("quote", pk=pk)
    context = {"unread": unread} | {
        "check": check,
        "quote": check.quote,
        "reckoning": check.reckoning,
        "caution": CAUTION,
    }
    context |= {"enquiry": check.quote.enquiry, "reason": ReasonForm(), "content": check.content}
    return render(request, "orders/quotes/send.html", context)


def _sent(request: HttpRequest, pk: int) -> bool:
    seen = request.POST.get("seen", "")
    known, now = seen.isascii() and seen.isdigit() and len(seen) < 16, timezone.now()
    try:
        quote_send(
            quote_id=pk,
            by=request.user.get_username(),
            at=now,
            seen_total_minor=int(seen) if known else None,
            window_check=window_check(now),
        )
    except (OrderError, InputErrors) as refusal:
        messages.error(request, f"Not sent. {refusal}")
        return False
    messages.success(request, "Sent. The mail is on its way to the customer.")
    return True


@require_POST
@allow(OWNER)
def quote_revise_post(request: HttpRequest, pk: int) -> HttpResponse:
    """Begin the next revision as a draft."""
    get_object_or_404(Quote, pk=pk)
    draft = quote_revise(quote_id=pk, by=request.user.get_username(), at=timezone.now())
    messages.success(request, f"{draft} is begun. What was sent stays valid until you send this one.")
    return redirect("enquiry", pk=draft.enquiry_id)


@allow(OWNER)
def quote_withdraw_page(request: HttpRequest, pk: int) -> HttpResponse:
    """Take a quote back, or give a draft up."""
    found = get_object_or_404(Quote.objects.select_related("enquiry__customer"), pk=pk)
    form = WithdrawForm(typed(request))
    if request.method == "POST" and form.is_valid():
        reason = form.cleaned_data["reason"]
        quote_withdraw(quote_id=pk, reason=reason, by=request.user.get_username(), at=timezone.now())
        messages.success(request, f"{found} is withdrawn.")
        return redirect("enquiry", pk=found.enquiry_id)
    return render(request, "orders/quotes/withdraw.html", {"quote": found, "form": form})


@allow(OWNER)
def quote_record_yes(request: HttpRequest, pk: int) -> HttpResponse:
    """Record a yes that came by phone or on paper."""
    found = get_object_or_404(Quote.objects.select_related("enquiry__customer"), pk=pk)
    form = YesForm(typed(request), initial={"name": found.enquiry.customer.name})
    if request.method == "POST" and form.is_valid():
        quote_record_approval(quote_id=pk, **form.cleaned_data, by=request.user.get_username(), at=timezone.now())
        messages.success(request, "The yes is on record and the order is confirmed.")
        return redirect("quote", pk=pk)
    return render(request, "orders/quotes/yes.html", {"quote": found, "form": form})


@require_POST
@allow(OWNER)
def quote_reply_post(request: HttpRequest, pk: int) -> HttpResponse:
    """Answer the customer by mail."""
    get_object_or_404(Quote.objects.exclude(status=QuoteStatus.DRAFT), pk=pk)
    form = ReplyForm(request.POST)
    if form.is_valid():
        quote_reply(quote_id=pk, text=form.cleaned_data["text"], by=request.user.get_username(), at=timezone.now())
        messages.success(request, "Your reply is on its way.")
        return redirect("quote", pk=pk)
    return render(request, "orders/quotes/quote.html", _file_context(pk, reply=form))


@require_POST
@allow(OWNER)
def quote_seen_post(request: HttpRequest, pk: int) -> HttpResponse:
    """Take what was said about a quote off the day's list."""
    get_object_or_404(Quote, pk=pk)
    messages_seen(quote_id=pk, at=timezone.now())
    messages.success(request, "Read. It is off the day’s list.")
    return redirect("quote", pk=pk)


@require_POST
@allow(OWNER)
def quote_links_close(request: HttpRequest, pk: int) -> HttpResponse:
    """Close every private link to this quote."""
    get_object_or_404(Quote, pk=pk)
    closed = links_revoke(quote_id=pk, by=request.user.get_username(), at=timezone.now())
    messages.success(request, f"{closed} private {'link' if closed == 1 else 'links'} closed.")
    return redirect("quote", pk=pk)


@require_safe
@allow(OWNER)
def quote_pdf(request: HttpRequest, pk: int) -> HttpResponse:
    """Give the PDF as it was issued."""
    found = get_object_or_404(Quote.objects.select_related("pdf"), pk=pk)
    if found.pdf is None:
        raise Http404("The PDF is not made yet.")
    headers = {"Content-Disposition": f'inline; filename="{found.pdf.file_name}"'}
    return HttpResponse(bytes(found.pdf.body), content_type=found.pdf.media_type, headers=headers)
