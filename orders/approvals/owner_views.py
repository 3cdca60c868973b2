"""The owner's pages of a sent quote: its record, recording an approval, replies, messages, revoking links."""

from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.utils.translation import gettext, ngettext
from django.views.decorators.http import require_safe

from catalog.upkeep.site import local_site
from catalog.web import display
from catalog.web.access import OWNER, allow
from catalog.web.actions import sent_to
from catalog.web.form_data import submitted_data
from orders.approvals.links import link_create, links_revoke
from orders.approvals.looking import slot_check_ask
from orders.approvals.messages import message_no_need, messages_mark_read
from orders.approvals.models import Message
from orders.approvals.owner_forms import RecordApprovalForm, ReplyForm
from orders.approvals.presenters import link_address, not_recorded_sentence, slot_shown, to_list
from orders.approvals.quote_file import pdf_waits, quote_file
from orders.approvals.selectors import why_closed
from orders.approvals.services import quote_record_approval, quote_reply
from orders.documents.agreed import at_window
from orders.documents.content import QuoteContent, content_read
from orders.documents.offered_words import times_shown
from orders.mail.addresses import can_be_written_to
from orders.mail.presenters import link_reason, mails_shown, reply_words
from orders.planning.presenters import AnswerShown
from orders.quotes.amendments.presenters import amended_shown
from orders.quotes.cooling.forms import together_form
from orders.quotes.cooling.measuring_forms import MeasuringForm
from orders.quotes.cooling.never_hot import claims_sold
from orders.quotes.cooling.presenters import broken_shown, never_shown
from orders.quotes.cooling.remark_presenters import claim_heading, claim_words
from orders.quotes.cooling.selectors import RuledTable, ruled_now, table_units
from orders.quotes.cooling.services import verdicts_prepare
from orders.quotes.cooling.shared import SharedBatch, shared_batches
from orders.quotes.cooling.shared_presenters import shared_shown
from orders.quotes.draft.allergens import NOTHING_CHANGED, since_now
from orders.quotes.draft.allergy_presenters import fine_shown
from orders.quotes.draft.fine_words import fine_sentences
from orders.quotes.draft.held_presenters import held_shown
from orders.quotes.models import Quote
from orders.quotes.presenters import change_sentences, quote_history
from orders.quotes.selectors import sent_figures
from orders.quotes.send.reserving import day_release
from orders.records.errors import NoteUnproven, OrderError
from orders.records.need_errors import TextUnread
from orders.records.presenters import sentence
from orders.records.slot_errors import NoSlot
from orders.records.states import QUOTE_TRANSITIONS, QuoteEvent, QuoteStatus
from orders.records.transitions import allowed_events
from orders.reminders.presenters import reminders_line

#: A number with a revision in one of these is not revised: one is made already, or it is an order.
_OVER = (QuoteStatus.APPROVED, QuoteStatus.DRAFT)


@require_safe
@allow(OWNER)
def quote(request: HttpRequest, pk: int) -> HttpResponse:
    """Show one revision with everything that happened to it; a draft is edited on its inquiry's page."""
    found = get_object_or_404(Quote, pk=pk)
    if found.status == QuoteStatus.DRAFT:
        return redirect("inquiry", pk=found.inquiry_id)
    return _file(request, pk, ReplyForm())


def _file(request: HttpRequest, pk: int, reply: ReplyForm, *, link: str = "") -> HttpResponse:
    file = quote_file(pk, timezone.now())
    customer = file.quote.inquiry.customer
    events = allowed_events(file.quote)
    over = (QuoteStatus.DRAFT,) if file.quote.status == QuoteStatus.SENT and file.quote.amends_id else _OVER
    number_is_over = any(one.status in over for one in file.revisions)
    made = file.quote.status in (QuoteStatus.SENT, QuoteStatus.APPROVED)
    ruled = ruled_now(file.quote) if made else RuledTable(file.quote, ())
    held, unseen = held_shown(file.messages), [message for message in file.messages if message.seen_at is None]
    held_keys, open_keys = {one.message.pk for one in held}, {one.message for one in file.since.messages}
    wordless = [one.pk for one in unseen if one.pk in held_keys or not one.text]
    context: dict[str, Any] = {
        "file": file,
        "held": held,
        "held_keys": held_keys,
        "figures": sent_figures(file.quote),
        "shared": shared_shown(_shared(file.quote, ruled)),
        "measured": broken_shown(ruled),
        "never": never_shown(ruled),
        "history": quote_history(file.history, customer.name),
        "changes": change_sentences(file.changes),
        "amended": amended_shown(file.before, file.content) if file.before and file.content else None,
        "quote": file.quote,
        "can_revise": not number_is_over and file.quote.inquiry.closed_at is None,
        "can_withdraw": QuoteEvent.WITHDRAW in events,
        "can_record_approval": QuoteEvent.APPROVE in events and why_closed(file.quote, timezone.now()) is None,
        "unseen": [message.pk for message in unseen],
        "wordless_keys": wordless,
        "plain_keys": [one.pk for one in unseen if one.pk not in {*wordless, *open_keys}],
        "reply": reply,
        "mail": mails_shown(file.mail),
        "reminders_line": reminders_line(file.quote, at=timezone.now()),
        "link_reason": link_reason(name=customer.name, address=can_be_written_to(customer.email)),
        "can_link": file.quote.pdf_id is not None and not (file.content and file.content.erased),
        "link_waits": pdf_waits(file),
        "local_site": local_site(),
        "new_link": link,
    }
    return render(request, "orders/approvals/quote_file.html", context)


@sent_to("quote")
@allow(OWNER)
def quote_link_new(request: HttpRequest, pk: int) -> HttpResponse:
    """Make another private link and show it, once: it is stored nowhere, so nobody can look it up later."""
    get_object_or_404(Quote.objects.exclude(status=QuoteStatus.DRAFT), pk=pk)
    try:
        token = link_create(quote_id=pk, at=timezone.now())
    except OrderError as refusal:
        messages.error(request, sentence(refusal))
        return redirect("quote", pk=pk)
    return _file(request, pk, ReplyForm(), link=link_address(token))


@allow(OWNER)
def quote_record_approval_page(request: HttpRequest, pk: int) -> HttpResponse:
    """Record an approval that came by phone or on paper."""
    found = get_object_or_404(Quote.objects.select_related("inquiry__customer"), pk=pk)
    if request.method != "POST" and QuoteEvent.APPROVE not in QUOTE_TRANSITIONS[found.status]:
        facts = {"quote": found, "status": display.status(found)}
        messages.error(request, gettext("%(quote)s is %(status)s, so no approval can be recorded.") % facts)
        draft = found.status == QuoteStatus.DRAFT
        return redirect("inquiry", pk=found.inquiry_id) if draft else redirect("quote", pk=pk)
    content, beside = content_read(found.content) if found.content else None, None
    times = [one.words for one in times_shown(content)] if content else []
    form = RecordApprovalForm(submitted_data(request), initial={"name": found.inquiry.customer.name}, times=times)
    ruled = ruled_now(found) if found.status == QuoteStatus.SENT else RuledTable(found, ())
    shared = _shared(found, ruled)
    # What is not asked is not read.
    asked = any(one.given is None for one in shared)
    together = together_form((request.POST if asked else {}) if request.method == "POST" else None, shared)
    if request.method == "POST" and form.is_valid() and together.is_valid():
        beside = _recorded(request, found, form, together, content)
        if not (form.errors or together.errors):
            messages.success(request, gettext("The approval is recorded and the order is confirmed."))
            return redirect("quote", pk=pk)
    since = since_now([(content, found.inquiry)])[0] if content else NOTHING_CHANGED
    closed = why_closed(found, timezone.now())
    context = {"quote": found, "form": form, "content": content, "since": since, "beside": beside}
    context |= {"closed": not_recorded_sentence(closed) if closed and not form.errors else ""}
    context |= {"measured": broken_shown(ruled), "never": never_shown(ruled), "shared": shared_shown(shared)}
    claims = () if ruled.book is None or content is None else claims_sold(content, ruled.book)
    context |= {"never_hot": [(claim_heading(one), claim_words(one)) for one in claims]}
    context |= {"together": together, "together_asked": asked}
    return render(request, "orders/approvals/record_approval.html", context)


def _recorded(
    request: HttpRequest,
    found: Quote,
    form: RecordApprovalForm,
    together: MeasuringForm,
    content: QuoteContent | None,
) -> AnswerShown | None:
    """Record an approval, or say in the form why not; return what is in its way in the kitchen's plan."""
    verdicts_prepare(found)
    at, facts = timezone.now(), form.facts() | {"together": together.measuring()}
    try:
        quote_record_approval(quote_id=found.pk, **facts, by=request.user.get_username(), at=at)
    except NoSlot as refusal:
        form.add_error(None, sentence(refusal))
        if refusal.undecided:
            slot_check_ask(quote_id=found.pk, at=at, chosen=facts["chosen"])
        wanted = None if content is None else at_window(content, facts["chosen"] or 0)
        return None if wanted is None else slot_shown(refusal.answer, found, wanted)
    except OrderError as refusal:
        words = not_recorded_sentence(refusal)
        if (refusal.place or "").startswith("together"):
            together.refuse(refusal, words)
        else:
            form.add_error(None, words)
    return None


def _shared(quote: Quote, ruled: RuledTable) -> tuple[SharedBatch, ...]:
    """Return what a sent quote breaks only together with promised orders, where it can be judged."""
    if ruled.book is None or quote.status != QuoteStatus.SENT:
        return ()
    return shared_batches(quote, table_units(quote), ruled.book)


@sent_to("quote")
@allow(OWNER)
def quote_reply_view(request: HttpRequest, pk: int) -> HttpResponse:
    """Answer the customer by mail."""
    found = get_object_or_404(Quote.objects.exclude(status=QuoteStatus.DRAFT), pk=pk)
    form = ReplyForm(request.POST)
    if form.is_valid():
        by, words = request.user.get_username(), form.cleaned_data["text"]
        facts = {**form.cleaned_data, "read": request.POST.getlist("read"), "shown": _keys(request)}
        try:
            quote_reply(quote_id=pk, by=by, at=timezone.now(), **facts)
        except TextUnread as refusal:
            form.add_error(refusal.place, sentence(refusal))
            form.asked = fine_shown(fine_sentences(words, found))
        except NoteUnproven as refusal:
            form.add_error(refusal.place, sentence(refusal))
        else:
            messages.success(request, reply_words())
            return redirect("quote", pk=pk)
    return _file(request, pk, form)


@sent_to("quote")
@allow(OWNER)
def quote_messages_mark_read(request: HttpRequest, pk: int) -> HttpResponse:
    """Mark what has no words of a customer as read, so that it leaves the day page; back to the page it is on."""
    get_object_or_404(Quote, pk=pk)
    messages_mark_read(quote_id=pk, at=timezone.now(), messages=_keys(request))
    messages.success(request, gettext("Marked as read."))
    return _back(request, pk)


def _keys(request: HttpRequest) -> list[int]:
    """Return the keys of the messages that a page showed."""
    return [int(key) for key in request.POST.getlist("message") if key.isascii() and key.isdigit() and len(key) < 16]


def _back(request: HttpRequest, pk: int) -> HttpResponse:
    """Return to the page on which a message stood: an inquiry's, an order's, or the quote's."""
    page, _, key = request.POST.get("back", "").partition(":")
    if page in ("inquiry", "order") and key.isascii() and key.isdigit() and len(key) < 16:
        return redirect(page, pk=int(key))
    return redirect("quote", pk=pk)


@sent_to("quote")
@allow(OWNER)
def quote_message_no_need(request: HttpRequest, pk: int) -> HttpResponse:
    """Record what somebody states of a customer's message: that its needs are recorded, or that it names none."""
    get_object_or_404(Quote, pk=pk)
    message = get_object_or_404(Message, pk=next(iter(_keys(request)), 0), quote=pk)
    recorded, no_guest = request.POST.get("what") == "recorded", "no_guest" in request.POST
    facts: dict[str, Any] = {"recorded": recorded, "no_guest": no_guest, "at": timezone.now()}
    facts["compared"] = request.POST.get("compared", "")
    try:
        message_no_need(quote_id=pk, message_id=message.pk, by=request.user.get_username(), **facts)
    except OrderError as refusal:
        messages.error(request, to_list(sentence(refusal), message.quote.inquiry_id))
        return _back(request, pk)
    words = gettext("Noted: the allergies and diets in the message are in the list.")
    messages.success(request, words if recorded else gettext("Noted: the message names no allergies or diets."))
    return _back(request, pk)


@sent_to("quote")
@allow(OWNER)
def quote_day_release(request: HttpRequest, pk: int) -> HttpResponse:
    """Release the time that is kept for a customer."""
    get_object_or_404(Quote, pk=pk)
    if day_release(quote_id=pk, by=request.user.get_username(), at=timezone.now()):
        messages.success(request, gettext("The time is released. The customer’s page says that it is no longer kept."))
    return redirect("quote", pk=pk)


@sent_to("quote")
@allow(OWNER)
def quote_links_revoke(request: HttpRequest, pk: int) -> HttpResponse:
    """Revoke every private link to this quote."""
    get_object_or_404(Quote, pk=pk)
    closed = links_revoke(quote_id=pk, by=request.user.get_username(), at=timezone.now())
    messages.success(
        request, ngettext("%(n)s private link revoked.", "%(n)s private links revoked.", closed) % {"n": closed}
    )
    return redirect("quote", pk=pk)
