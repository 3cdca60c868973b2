"""The letter to the customer: read it, take it along, answer it."""

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_safe

from catalog.access import ANYBODY, allow
from orders.dates import calendar_file
from orders.errors import OrderError
from orders.forms.customer import ApproveForm, ChangeForm, DeclineForm
from orders.models import Document
from orders.selectors.letters import LetterPage, letter_page
from orders.services.answers import Witness, quote_approve, quote_ask_change, quote_decline
from orders.views.customer_door import client_ip, links_in, no_such_letter, private
from orders.views.files import attachment, download


def _letter(request: HttpRequest, quote_id: int) -> LetterPage | None:
    return letter_page(quote_id=quote_id, link_ids=links_in(request), at=timezone.now())


def _witness(request: HttpRequest, letter: LetterPage) -> Witness:
    agent = request.headers.get("User-Agent", "")
    return Witness(link_id=letter.link.pk, ip=client_ip(request), user_agent=agent.replace("\x00", ""))


def _page(request: HttpRequest, name: str, letter: LetterPage, status: int = 200, **more: Any) -> HttpResponse:
    context = {"letter": letter, "quote": letter.quote, "content": letter.content, **more}
    return render(request, f"orders/customer/{name}.html", context, status=status)


@require_safe
@allow(ANYBODY)
@private
def letter(request: HttpRequest, quote_id: int) -> HttpResponse:
    """Show the letter as it stands: to answer, answered, or overtaken."""
    found = _letter(request, quote_id)
    if found is None:
        return no_such_letter(request)
    return _page(request, "approved" if found.approved else "letter", found, said=request.GET.get("said", ""))


@require_http_methods(["GET", "HEAD", "POST"])
@allow(ANYBODY)
@private
def approve(request: HttpRequest, quote_id: int) -> HttpResponse:
    """Show what a yes means, then take it."""
    found = _letter(request, quote_id)
    if found is None:
        return no_such_letter(request)
    if found.approved or not found.can_answer:
        return redirect("letter", quote_id=quote_id)
    form = ApproveForm(request.POST or None, initial={"seen": found.quote.content_sha256})
    if request.method == "POST" and form.is_valid():
        return _approved(request, found, form)
    return _page(request, "approve", found, form=form)


def _approved(request: HttpRequest, found: LetterPage, form: ApproveForm) -> HttpResponse:
    try:
        quote_approve(
            quote_id=found.quote.pk,
            content_sha256=form.cleaned_data["seen"],
            name=form.cleaned_data["name"],
            witness=_witness(request, found),
            at=timezone.now(),
        )
    except OrderError as refusal:
        return _overtaken(request, found.quote.pk, refusal)
    return redirect("letter", quote_id=found.quote.pk)


def _overtaken(request: HttpRequest, quote_id: int, refusal: OrderError) -> HttpResponse:
    """Show the letter as it stands now, with why the answer was not taken."""
    found = _letter(request, quote_id)
    if found is None:
        return no_such_letter(request)
    return _page(request, "approved" if found.approved else "letter", found, status=409, refusal=refusal)


@require_http_methods(["GET", "HEAD", "POST"])
@allow(ANYBODY)
@private
def ask_change(request: HttpRequest, quote_id: int) -> HttpResponse:
    """Take down what should be different."""
    found = _letter(request, quote_id)
    if found is None:
        return no_such_letter(request)
    form = ChangeForm(request.POST or None)
    if request.method == "POST" and form.is_valid() and _passed_on(request, found, form):
        return redirect(f"{reverse('letter', args=[quote_id])}?said=change")
    return _page(request, "change", found, form=form)


def _passed_on(request: HttpRequest, found: LetterPage, form: ChangeForm) -> bool:
    try:
        quote_ask_change(
            quote_id=found.quote.pk,
            text=form.cleaned_data["text"],
            witness=_witness(request, found),
            at=timezone.now(),
        )
    except OrderError as refusal:
        form.add_error("text", str(refusal))
        return False
    return True


@require_http_methods(["GET", "HEAD", "POST"])
@allow(ANYBODY)
@private
def decline(request: HttpRequest, quote_id: int) -> HttpResponse:
    """Take a no, with its reason if there is one."""
    found = _letter(request, quote_id)
    if found is None:
        return no_such_letter(request)
    if not found.can_answer:
        return redirect("letter", quote_id=quote_id)
    form = DeclineForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        return _declined(request, found, form.cleaned_data["reason"])
    return _page(request, "decline", found, form=form)


def _declined(request: HttpRequest, found: LetterPage, reason: str) -> HttpResponse:
    try:
        quote_decline(quote_id=found.quote.pk, reason=reason, witness=_witness(request, found), at=timezone.now())
    except OrderError as refusal:
        return _overtaken(request, found.quote.pk, refusal)
    return redirect("letter", quote_id=found.quote.pk)


@require_safe
@allow(ANYBODY)
@private
def letter_pdf(request: HttpRequest, quote_id: int) -> HttpResponse:
    """Give the quote's PDF as it was issued."""
    found = _letter(request, quote_id)
    if found is None:
        return no_such_letter(request)
    document = Document.objects.filter(pk=found.quote.pdf_id or 0).first()
    return _file(request, found, document)


@require_safe
@allow(ANYBODY)
@private
def accepted_pdf(request: HttpRequest, quote_id: int) -> HttpResponse:
    """Give the PDF of what was approved."""
    found = _letter(request, quote_id)
    if found is None or found.approval is None:
        return no_such_letter(request)
    document = Document.objects.filter(pk=found.approval.pdf_id or 0).first()
    return _file(request, found, document)


def _file(request: HttpRequest, found: LetterPage, document: Document | None) -> HttpResponse:
    if document is None:
        return _page(request, "being_made", found, status=404)
    return download(document)


@require_safe
@allow(ANYBODY)
@private
def date_file(request: HttpRequest, quote_id: int) -> HttpResponse:
    """Give the day as a calendar file, once it is agreed."""
    found = _letter(request, quote_id)
    if found is None or found.order is None:
        return no_such_letter(request)
    body = calendar_file(order=found.order, content=found.content)
    return attachment(body, f"{found.order.number}.ics", "text/calendar; method=PUBLISH; charset=utf-8")
