"""The page that checks a quote once more and sends it."""

from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.utils.translation import gettext
from django.views.decorators.http import require_safe

from catalog.kitchen.selectors import kitchen
from catalog.records.versions import UNSEEN
from catalog.upkeep.site import local_site
from catalog.web.access import OWNER, allow
from catalog.web.actions import sent_to
from costing.contract import InputErrors
from orders.mail.addresses import can_be_written_to
from orders.mail.presenters import link_reason, sending_words
from orders.planning.presenters import beside_shown
from orders.planning.slots import plan_counts, slot_found
from orders.planning.unsure import place_unsure
from orders.quotes.amendments.presenters import amended_shown
from orders.quotes.changes import changes_between
from orders.quotes.cooling.forms import together_form
from orders.quotes.cooling.measuring_content import Measuring
from orders.quotes.cooling.perishables import unstated_mark
from orders.quotes.cooling.presenters import broken_shown, never_shown, unanswered_shown, untimed_shown
from orders.quotes.cooling.reading_times import reading_times
from orders.quotes.cooling.remark_presenters import remarks_shown
from orders.quotes.cooling.remarked import unsettled_names
from orders.quotes.cooling.shared_presenters import shared_shown
from orders.quotes.draft.allergens import unmet
from orders.quotes.draft.allergy_presenters import allergies_shown
from orders.quotes.draft.issue_presenters import CoolingShown, issues
from orders.quotes.draft.presenters import ALLERGEN_CAUTION, draft_shown
from orders.quotes.draft.services import table_version
from orders.quotes.draft.terms_forms import ReasonForm
from orders.quotes.models import Quote
from orders.quotes.presenters import change_sentences
from orders.quotes.selectors import content_before, quote_before, quotes_with_rows
from orders.quotes.send.changed_prices import changed_prices, given_prices, prices_stay
from orders.quotes.send.check import SendCheck, send_check
from orders.quotes.send.content import content_mark
from orders.quotes.send.offer_presenters import OffersShown, offers_shown
from orders.quotes.send.offering import Offer, mark_of, offered_before, offers_of
from orders.quotes.send.presenters import send_problems, unticked_shown
from orders.quotes.send.served_early_presenters import served_early_words
from orders.quotes.send.services import quote_send
from orders.quotes.send.to_read_presenters import to_read_shown
from orders.records.errors import OrderError
from orders.records.presenters import reason_sentence, sentence
from orders.records.states import QuoteStatus


@allow(OWNER)
def quote_send_page(request: HttpRequest, pk: int) -> HttpResponse:
    """Show what the customer will get, then send it."""
    quote = get_object_or_404(quotes_with_rows(), pk=pk)
    if quote.status != QuoteStatus.DRAFT:
        return redirect("quote", pk=pk)
    check = send_check(quote, at=timezone.now())
    submitted = request.method == "POST"
    # What is not asked is not read.
    together = together_form((request.POST if check.shared else {}) if submitted else None, check.shared)
    unseen = _unseen(request, check) if submitted else ()
    if submitted and not unseen and together.is_valid() and _sent(request, pk, together.measuring()):
        return redirect("quote", pk=pk)
    ticked = {"ticked": frozenset(request.POST.getlist("unchecked")), "seen_needs": "allergies" in request.POST}
    ticked |= {"read": frozenset(request.POST.getlist("read")), "seen_not_asked": "not_asked" in request.POST}
    ticked |= {"reserve_day": "reserve_day" in request.POST, "seen_unsure": request.POST.get("unsure", "")}
    ticked |= {"offers": _offers_first(request, check)}
    ticked |= {"seen_unstated": request.POST.get("unstated", ""), "seen_day_over": request.POST.get("day_over", "")}
    context = _context(check) | {"together": together}
    to_read = [(one.mark, one.missing) for one in context["to_read"]]
    unticked = unticked_shown(unseen, check, context["shown"], to_read)
    return render(request, "orders/quotes/send/send.html", context | {"unseen": unseen, "unticked": unticked} | ticked)


@require_safe
@allow(OWNER)
def quote_offers(request: HttpRequest, pk: int) -> HttpResponse:
    """Show the other windows that may be offered, once they are worked out."""
    quote = get_object_or_404(quotes_with_rows(), pk=pk)
    if quote.status != QuoteStatus.DRAFT or "HX-Request" not in request.headers:
        return redirect("quote-send", pk=pk)
    beside = beside_shown(quote, timezone.now())
    if beside is not None and beside.answer is None:
        offers = OffersShown(waiting=not beside.late)
    else:
        offers = _offers(request, send_check(quote, at=timezone.now()))
    context = {"quote": quote, "offers": offers, "again": True}
    return render(request, "orders/quotes/send/offers.html", context)


def _offers_first(request: HttpRequest, check: SendCheck) -> OffersShown:
    """Return what the page itself shows: a script asks for the windows, and whoever has none asks by a link."""
    if request.method == "POST" or "times" in request.GET:
        return _offers(request, check)
    return OffersShown(waiting=check.may_go)


def _offers(request: HttpRequest, check: SendCheck) -> OffersShown:
    """Return the windows that may be offered; to begin with those are checked that the last revision offered."""
    quote, content, at = check.quote, check.content, timezone.now()
    found, book = check.draft_estimate.estimate, check.draft_estimate.book
    offers: tuple[Offer, ...] = ()
    if content is not None and found is not None and book is not None and check.may_go:
        offers = offers_of(quote, content, found, book, kitchen(), check.dates, at)
    if request.method == "POST":
        return offers_shown(check, offers, request.POST.getlist("offered"), at)
    before = content_before(quote)
    own = mark_of(quote.inquiry.window_start)
    return offers_shown(check, offers, [mark for mark in offered_before(before) if mark != own], at)


@sent_to("quote-send")
@allow(OWNER)
def quote_prices_stay(request: HttpRequest, pk: int) -> HttpResponse:
    """Keep the prices that were sent, of the ticked desserts."""
    get_object_or_404(Quote, pk=pk)
    codes, by = request.POST.getlist("stay"), request.user.get_username()
    if not codes:
        messages.error(request, gettext("Nothing changed. Check each product whose price stays as sent."))
        return redirect("quote-send", pk=pk)
    prices_stay(quote_id=pk, codes=codes, version=request.POST.get("version", "") or UNSEEN, by=by, at=timezone.now())
    messages.success(request, gettext("Saved. These prices stay as sent, as price overrides."))
    return redirect("quote-send", pk=pk)


def _unseen(request: HttpRequest, check: SendCheck) -> tuple[str, ...]:
    """Return what is not ticked: ``asked``, ``day``, ``needs``, ``unstated``, a mark of words, a product's code."""
    asked = ("asked",) if check.quote.inquiry.not_asked and "not_asked" not in request.POST else ()
    needs = ("needs",) if unmet(check.draft_estimate.needs) and "allergies" not in request.POST else ()
    ticked = request.POST.getlist("unchecked")
    named = check.unstated and request.POST.get("unstated") != unstated_mark(check.unstated)
    unstated = ("unstated",) if named else ()
    read = request.POST.getlist("read")
    unread = (one.mark for one in check.to_read if one.mark not in read)
    unchecked = (one.code for one in check.draft_estimate.unchecked)
    over = check.day_over
    day: tuple[str, ...] = ("day",) if over is not None and request.POST.get("day_over") != over.mark else ()
    unsure = place_unsure(check.quote, timezone.now())
    day += ("unsure",) if unsure is not None and request.POST.get("unsure") != unsure.mark else ()
    return (*asked, *day, *needs, *unread, *unstated, *(code for code in unchecked if code not in ticked))


def _context(check: SendCheck) -> dict[str, Any]:
    unsettled = unsettled_names(check.ruled, check.shared)
    shown = draft_shown(check.draft_estimate, check.quote.inquiry, unsettled=unsettled)
    times = reading_times(check.ruled, check.quote.inquiry, timezone.now())
    measured, not_judged = broken_shown(check.ruled, times=times), unanswered_shown(check.not_judged)
    untimed = untimed_shown(check.untimed)
    cooling = CoolingShown(measured, not_judged, untimed, never_shown(check.ruled))
    priced, guests = check.draft_estimate.estimate, check.quote.inquiry.guests
    return {
        "check": check,
        "per_guest": priced.totals.total / guests if priced and guests else None,
        "problems": send_problems(check),
        "quote": check.quote,
        "beside": beside_shown(check.quote, timezone.now()),
        "inquiry": check.quote.inquiry,
        "content": check.content,
        **_against_sent(check),
        "seen": content_mark(check.content) if check.content else "",
        "draft_estimate": check.draft_estimate,
        "shown": shown,
        "issues": issues(
            check.draft_estimate,
            shown,
            cooling,
            quote=check.quote,
            dates=check.dates,
            before=content_before(check.quote),
            sending=True,
        ),
        "allergies": allergies_shown(check.draft_estimate.needs),
        "to_read": to_read_shown(check.to_read, check.quote.inquiry),
        "sure": not (cooling.stops or check.shared or shown.rules_broken),
        "measured": measured,
        "shared": shared_shown(check.shared),
        "together_asked": check.together_open,
        "untimed": untimed,
        "remarks": remarks_shown(check.remarked),
        "served_early": check.content and served_early_words(check.content, check.quote.inquiry, kitchen()),
        "not_judged": not_judged,
        "unstated_mark": unstated_mark(check.unstated),
        "day_over": reason_sentence(check.day_over.reason) if check.day_over else "",
        "reason": ReasonForm(),
        "version": table_version(check.quote),
        "caution": ALLERGEN_CAUTION,
        "link_reason": _link_reason(check.quote),
        "local_site": local_site(),
        "can_keep": check.quote.amends_id is None
        and check.draft_estimate.book is not None
        and plan_counts(check.draft_estimate.book),
    }


def _against_sent(check: SendCheck) -> dict[str, Any]:
    """Return what differs from the revision that this one replaces: prices that moved, and what the customer reads."""
    older, content, before = quote_before(check.quote), check.content, content_before(check.quote)
    if content is None or before is None:
        return {"changed_prices": (), "recounted_prices": (), "older": None, "changes": []}
    changed = changed_prices(check.quote, content)
    return {
        "changed_prices": [one for one in changed if not one.recounted],
        "recounted_prices": [one for one in changed if one.recounted],
        "older": older,
        "amended": amended_shown(before, content) if content.amends else None,
        "changes": change_sentences(changes_between(before, content, given=given_prices(check.quote)))
        if content.amends is None
        else [],
    }


def _sent(request: HttpRequest, pk: int, together: Measuring | None) -> bool:
    shown = request.POST.get("total_minor", "")
    known = shown.isascii() and shown.isdigit() and len(shown) < 16
    reserve, at = "reserve_day" in request.POST, timezone.now()
    try:
        quote_send(
            quote_id=pk,
            by=request.user.get_username(),
            at=at,
            shown_total_minor=int(shown) if known else None,
            shown=request.POST.get("seen", ""),
            unchecked=request.POST.getlist("unchecked"),
            settled="allergies" in request.POST,
            unstated_seen=request.POST.get("unstated", ""),
            read=request.POST.getlist("read"),
            not_asked_seen="not_asked" in request.POST,
            day_over_seen=request.POST.get("day_over", ""),
            unsure_seen=request.POST.get("unsure", ""),
            together=together,
            reserve_day=reserve,
            place=slot_found(get_object_or_404(quotes_with_rows(), pk=pk), at=at) if reserve else None,
            offered=request.POST.getlist("offered"),
        )
    except (OrderError, InputErrors) as refusal:
        reason = sentence(refusal) if isinstance(refusal, OrderError) else str(refusal)
        messages.error(request, gettext("Not sent. %(reason)s") % {"reason": reason})
        return False
    quote = get_object_or_404(quotes_with_rows(), pk=pk)
    reason = _link_reason(quote)
    final = (
        gettext("The change is final and can be approved. Send its link yourself: see “Private links” on this page.")
        if quote.amends_id
        else gettext(
            "The quote is final and can be approved. Send its link yourself: see “Private links” on this page."
        )
    )
    words = final if reason else gettext("Sent. %(what)s") % {"what": sending_words()}
    messages.success(request, words)
    return True


def _link_reason(quote: Quote) -> str:
    """Return why nothing is mailed to the customer; empty where a mail goes."""
    customer = quote.inquiry.customer
    return link_reason(name=customer.name, address=can_be_written_to(customer.email))
