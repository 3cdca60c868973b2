"""The customer's quote page: read it, download it, answer it."""

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_safe

from catalog.kitchen.selectors import kitchen
from catalog.web import display
from catalog.web.access import ANYBODY, allow
from catalog.web.client_address import client_address
from catalog.web.form_data import submitted_data
from orders.approvals.calendar_content import calendar_file
from orders.approvals.errors import NameNamesNeed
from orders.approvals.forms import ApproveForm, ChangeForm, DeclineForm, OrderChangeForm
from orders.approvals.looking import slot_check_ask
from orders.approvals.messages import approval_held
from orders.approvals.page_records import conversation, document_of, documents_of, paper_of, payments_of, requests_of
from orders.approvals.presenters import (
    changed_sentences,
    closed_sentence,
    held_words,
    slot_words,
    stopped_sentence,
    stopped_sentences,
    time_sentence,
)
from orders.approvals.private_views import (
    links_of_session,
    name_forgotten,
    name_of_session,
    name_to_session,
    no_such_quote_page,
    private,
)
from orders.approvals.quote_page import QuotePage, before_amended, changes_before, quote_page
from orders.approvals.selectors import sale_multiples
from orders.approvals.services import (
    ApprovalEvidence,
    quote_approve,
    quote_ask_change,
    quote_decline,
)
from orders.approvals.window_presenters import window_number_of, window_to_show, window_wanted, windows_shown
from orders.cooling_log.limit_presenters import content_by_today
from orders.documents.agreed import at_window
from orders.documents.models import Document
from orders.documents.responses import attachment, file_or_wait
from orders.documents.selectors import requested_pdf
from orders.invoices.paper_mails import ABOUT
from orders.quotes.amendments.falls import least_counts
from orders.quotes.amendments.presenters import amended_shown
from orders.quotes.cooling.selectors import ruled_now
from orders.quotes.cooling.services import verdicts_prepare
from orders.quotes.draft.windows import inquiry_for
from orders.quotes.presenters import change_sentences
from orders.records.errors import KitchenMustCheck, KitchenMustLook, KitchenMustTell, KitchenNotInformed, OrderError
from orders.records.presenters import sentence
from orders.records.slot_errors import NoSlot
from orders.records.states import QuoteStatus


def _quote_page(request: HttpRequest, quote_id: int) -> QuotePage | None:
    return quote_page(quote_id=quote_id, link_ids=links_of_session(request), at=timezone.now())


def _evidence(request: HttpRequest, page: QuotePage) -> ApprovalEvidence:
    agent = request.headers.get("User-Agent", "").replace("\x00", "")
    return ApprovalEvidence(link_id=page.link.pk, ip=client_address(request), user_agent=agent)


def _render(
    request: HttpRequest, name: str, page: QuotePage, status: int = 200, chosen: int | None = None, **more: Any
) -> HttpResponse:
    """Show a page of a quote; with the number of a window that was chosen, as it is with that."""
    content, limited = page.content if chosen is None else at_window(page.content, chosen), ""
    if page.closed is None or page.approved:
        inquiry = page.event if chosen is None else inquiry_for(page.quote.inquiry, content.event)
        content, limited = content_by_today(content, inquiry, kitchen())
    about = {"quote_page": page, "quote": page.quote, "content": content, "limited": limited}
    about["not_answered"], before = page.not_answered, before_amended(page)
    about["amended"] = None if before is None or before.erased else amended_shown(before, page.content)
    context = {**about, "closed": closed_sentence(page), "since": page.since, **more}
    context |= {"chosen": chosen, "time_checked": time_sentence(page)}
    context |= {"labels_changed": changed_sentences(page), "stopped": stopped_sentence(page)}
    context["notes"] = display.joined(page.invoice.notes) if page.invoice else ""
    if name in ("quote_page", "approved"):
        context["conversation"] = conversation(page.quote)
    if name == "approved" and page.order is not None:
        context |= {"documents": documents_of(page.order), "payments": payments_of(page.order)}
        context["requests"] = requests_of(page.order)
    if name == "quote_page":
        context["changes"] = change_sentences(changes_before(page))
        context["windows"] = windows_shown(page, window_number_of(request.GET or request.POST))
        context["can_choose"] = any(one.checked for one in context["windows"])
    return render(request, f"orders/approvals/{name}.html", context, status=status)


@require_safe
@allow(ANYBODY)
@private
def quote_page_view(request: HttpRequest, quote_id: int) -> HttpResponse:
    """Show the quote in its present state: open, answered, or replaced."""
    found = _quote_page(request, quote_id)
    if found is None:
        return no_such_quote_page(request)
    return _render(request, "approved" if found.approved else "quote_page", found, said=request.GET.get("said", ""))


@require_http_methods(["GET", "HEAD", "POST"])
@allow(ANYBODY)
@private
def approve(request: HttpRequest, quote_id: int) -> HttpResponse:
    """Show what the approval means, then record it; on the way back to the quote the name entered is remembered."""
    found = _quote_page(request, quote_id)
    if found is None:
        return no_such_quote_page(request)
    if found.approved or not found.can_answer:
        return redirect("quote-page", quote_id=quote_id)
    if request.POST.get("back"):
        name_to_session(request, quote_id, request.POST.get("name", ""))
        return _back(quote_id, window_number_of(request.POST))
    chosen = window_number_of(request.POST if request.method == "POST" else request.GET)
    if found.content.offered and request.method != "POST":
        wanted = window_wanted(found.windows, chosen)
        if wanted is None or (chosen is not None and wanted != chosen):
            return _back(quote_id, wanted)
        chosen = wanted
    initial = {"content_sha256": found.quote.content_sha256, "name": name_of_session(request, quote_id)}
    form = ApproveForm(submitted_data(request), initial=initial, recorded=found.quote.inquiry.customer.name)
    if request.method == "POST" and form.is_valid():
        return _approved(request, found, form, chosen)
    return _render(request, "approve", found, chosen=window_to_show(found.content, chosen), form=form)


def _back(quote_id: int, chosen: int | None) -> HttpResponse:
    """Return to the quote, with the window that is chosen so far."""
    address = reverse("quote-page", args=[quote_id])
    return redirect(address if chosen is None else f"{address}?window={chosen}")


def _approved(request: HttpRequest, found: QuotePage, form: ApproveForm, chosen: int | None) -> HttpResponse:
    verdicts_prepare(found.quote)
    name, at = form.cleaned_data["name"], timezone.now()
    try:
        quote_approve(
            quote_id=found.quote.pk,
            content_sha256=form.cleaned_data["content_sha256"],
            name=name,
            evidence=_evidence(request, found),
            at=at,
            chosen=chosen,
            only_name=form.cleaned_data["only_name"],
        )
    except NameNamesNeed as refusal:
        return _name_asked(request, found, name, refusal)
    except (KitchenMustLook, KitchenMustCheck, KitchenMustTell) as refusal:
        # Their yes is not lost: the kitchen reads that they wanted to give it.
        reasons, words = stopped_sentences(found, ruled_now(found.quote)), held_words(name, refusal)
        held = approval_held(quote_id=found.quote.pk, name=name, words=words, reasons=reasons, at=at)
        if held is None and not reasons and isinstance(refusal, KitchenMustLook):
            return _refused(request, found.quote.pk, KitchenNotInformed())
        return _refused(request, found.quote.pk, refusal)
    except NoSlot as refusal:
        # Where it is looked for, the kitchen reads what came of it.
        looked_for = refusal.undecided and slot_check_ask(quote_id=found.quote.pk, at=at, chosen=chosen)
        wanted = at_window(found.content, chosen or 0)
        words = slot_words(refusal.answer, found.quote, wanted, undecided=refusal.undecided)
        reasons = [] if looked_for else [words]
        approval_held(
            quote_id=found.quote.pk,
            name=name,
            words=held_words(name, refusal),
            reasons=reasons,
            at=at,
            answer=refusal.answer.written(),
        )
        return _refused(request, found.quote.pk, refusal)
    except OrderError as refusal:
        return _refused(request, found.quote.pk, refusal)
    name_forgotten(request, found.quote.pk)
    return redirect("quote-page", quote_id=found.quote.pk)


def _name_asked(request: HttpRequest, found: QuotePage, name: str, refusal: OrderError) -> HttpResponse:
    """Send the kitchen what was written beside a name, and say that it has it."""
    name_forgotten(request, found.quote.pk)
    try:
        quote_ask_change(quote_id=found.quote.pk, text=name, evidence=_evidence(request, found), at=timezone.now())
    except OrderError as too_many:
        return _refused(request, found.quote.pk, too_many)
    return _refused(request, found.quote.pk, refusal)


def _refused(request: HttpRequest, quote_id: int, refusal: OrderError) -> HttpResponse:
    """Show the quote in its present state, and why the answer was refused."""
    found = _quote_page(request, quote_id)
    if found is None:
        return no_such_quote_page(request)
    return _render(
        request, "approved" if found.approved else "quote_page", found, status=409, refusal=sentence(refusal)
    )


@require_http_methods(["GET", "HEAD", "POST"])
@allow(ANYBODY)
@private
def ask_change(request: HttpRequest, quote_id: int) -> HttpResponse:
    """Record a change the customer asks for."""
    found = _quote_page(request, quote_id)
    if found is None:
        return no_such_quote_page(request)
    form = _change_form(request, found)
    if request.method == "POST" and form.is_valid() and _asked(request, found, form):
        return redirect(f"{reverse('quote-page', args=[quote_id])}?said=change")
    return _render(request, "change", found, form=form)


def _change_form(request: HttpRequest, found: QuotePage) -> ChangeForm:
    """Return the form for what can be asked: of an order in force other counts, else words."""
    if not found.order_open:
        return ChangeForm(submitted_data(request))
    multiples = sale_multiples(line.product for line in found.content.lines)
    least = least_counts(found.quote, today=timezone.localdate())
    return OrderChangeForm(submitted_data(request), content=found.content, multiples=multiples, least=least)


def _asked(request: HttpRequest, found: QuotePage, form: ChangeForm) -> bool:
    counted = form if isinstance(form, OrderChangeForm) else None
    try:
        quote_ask_change(
            quote_id=found.quote.pk,
            text=counted.words() if counted else form.cleaned_data["text"],
            wants=counted.wants() if counted else None,
            evidence=_evidence(request, found),
            at=timezone.now(),
        )
    except OrderError as refusal:
        form.add_error("text", sentence(refusal))
        return False
    return True


@require_http_methods(["GET", "HEAD", "POST"])
@allow(ANYBODY)
@private
def decline(request: HttpRequest, quote_id: int) -> HttpResponse:
    """Record a decline, with its reason if there is one."""
    found = _quote_page(request, quote_id)
    if found is None:
        return no_such_quote_page(request)
    if request.method != "POST" and not found.can_answer:
        return redirect("quote-page", quote_id=quote_id)
    form = DeclineForm(submitted_data(request))
    if request.method == "POST" and form.is_valid():
        return _declined(request, found, form.cleaned_data["reason"])
    return _render(request, "decline", found, form=form)


def _declined(request: HttpRequest, found: QuotePage, reason: str) -> HttpResponse:
    try:
        quote_decline(quote_id=found.quote.pk, reason=reason, evidence=_evidence(request, found), at=timezone.now())
    except OrderError as refusal:
        return _refused(request, found.quote.pk, refusal)
    name_forgotten(request, found.quote.pk)
    return redirect("quote-page", quote_id=found.quote.pk)


@require_safe
@allow(ANYBODY)
@private
def quote_page_pdf(request: HttpRequest, quote_id: int) -> HttpResponse:
    """Return the quote's PDF as it was issued."""
    found = _quote_page(request, quote_id)
    if found is None:
        return no_such_quote_page(request)
    return _file(request, found, found.quote.pdf, kind="quote_pdf")


@require_safe
@allow(ANYBODY)
@private
def approved_pdf(request: HttpRequest, quote_id: int) -> HttpResponse:
    """Return the PDF of what was approved, or a page that waits for it."""
    found = _quote_page(request, quote_id)
    if found is None or found.approval is None:
        return no_such_quote_page(request)
    return _file(request, found, found.approval.pdf, kind="approval_pdf")


@require_safe
@allow(ANYBODY)
@private
def order_document_pdf(request: HttpRequest, quote_id: int, pk: int) -> HttpResponse:
    """Return the PDF of an invoice or a credit note of the quote's order, or a page that waits for it."""
    found = _quote_page(request, quote_id)
    document = document_of(found.order, pk) if found is not None and found.order is not None else None
    if found is None or document is None:
        return no_such_quote_page(request)
    return _file(request, found, document.pdf, kind="invoice_pdf", about=f"invoice:{pk}")


@require_safe
@allow(ANYBODY)
@private
def order_paper_pdf(request: HttpRequest, quote_id: int, pk: int) -> HttpResponse:
    """Return the PDF of a payment request or a receipt of the quote's order, or a page that waits for it."""
    found = _quote_page(request, quote_id)
    paper = paper_of(found.order, pk) if found is not None and found.order is not None else None
    if found is None or paper is None:
        return no_such_quote_page(request)
    return _file(request, found, paper.pdf, kind="paper_pdf", about=f"{ABOUT}:{pk}")


def _file(
    request: HttpRequest, found: QuotePage, document: Document | None, *, kind: str, about: str = ""
) -> HttpResponse:
    file = requested_pdf(document, kind=kind, about=about or f"quote:{found.quote.pk}")
    context = {"quote_page": found, "quote": found.quote, "content": found.content}
    return file_or_wait(request, file, context, template="orders/approvals/being_made.html")


@require_safe
@allow(ANYBODY)
@private
def calendar(request: HttpRequest, quote_id: int) -> HttpResponse:
    """Return the hand-over as a calendar file, once the quote is approved."""
    found = _quote_page(request, quote_id)
    if found is None or found.order is None or found.quote.status != QuoteStatus.APPROVED:
        return no_such_quote_page(request)
    body = calendar_file(order=found.order, content=found.content)
    return attachment(body, f"{found.order.number}.ics", "text/calendar; method=PUBLISH; charset=utf-8")
