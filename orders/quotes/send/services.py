"""The transitions of a quote by the kitchen: send, revise, withdraw, expire. Answers are in ``orders.approvals``."""

from collections.abc import Collection, Sequence
from datetime import datetime
from typing import Any
from zoneinfo import ZoneInfo

from django.db import transaction
from django.utils import timezone

from catalog.book.selectors import book_current
from catalog.kitchen.models import Kitchen
from catalog.kitchen.selectors import kitchen as kitchen_now
from catalog.pantry.declarations import Serves
from catalog.pictures.services import pictures_quoted
from catalog.records.reasons import Reason
from costing.contract import Estimate
from costing.estimating.engine import estimate
from orders.approvals.models import Message
from orders.documents.content import QuoteContent, content_read
from orders.documents.store import pdf_ask
from orders.planning.selectors import check_beside
from orders.planning.slots import Slot
from orders.quotes.amendments.selectors import amend_refusals
from orders.quotes.amendments.services import amendment_over, revision_next
from orders.quotes.cooling.measuring_content import Measuring
from orders.quotes.cooling.perishables import Unstated, sources_unshown, to_see, unstated_mark
from orders.quotes.cooling.selectors import table_units
from orders.quotes.cooling.services import check_sending, overrides_carried
from orders.quotes.cooling.shared import shared_reason
from orders.quotes.draft.allergens import UncheckedDish, check_words, unchecked_dishes, unmet
from orders.quotes.draft.claims import check_claims, check_note, table_claims, texts_read
from orders.quotes.draft.dessert_table import brief_of_quote, table_of
from orders.quotes.draft.fine_words import check_fine
from orders.quotes.draft.services import lines_write
from orders.quotes.draft.windows import check_answer, window_of
from orders.quotes.mails import quote_mail_ask
from orders.quotes.models import Quote
from orders.quotes.selectors import quote_locked, rows_read
from orders.quotes.send.check import refusals
from orders.quotes.send.content import content_mark, content_of, parts_changed
from orders.quotes.send.holding_content import contradictions
from orders.quotes.send.offering import offers_of, with_offered
from orders.quotes.send.reserving import day_reserve
from orders.quotes.send.seen import holding_seen, over_or_refused, over_seen, unseen, unsure_or_refused
from orders.quotes.send.sent_columns import sent_columns
from orders.quotes.send.to_read import ToRead, check_read, read_noted, to_read
from orders.quotes.terms.selectors import dates_of, over_total, refusal_of
from orders.records.actors import CLOCK
from orders.records.amend_errors import OrderNotOpen
from orders.records.changed_errors import ContentChanged
from orders.records.closed_errors import QuoteErased
from orders.records.errors import (
    AllergensUnchecked,
    AlreadyApproved,
    AnotherDraft,
    BelowFloor,
    InquiryClosed,
    NeedsUnsettled,
    PriceChanged,
    TotalsDiffer,
    TransitionNotAllowed,
)
from orders.records.money import from_minor
from orders.records.need_errors import NotAsked
from orders.records.states import ORDERS_AHEAD, QuoteEvent, QuoteStatus
from orders.records.transitions import audit, transition


@transaction.atomic(durable=True)
def quote_send(
    *,
    quote_id: int,
    by: str,
    at: datetime,
    shown_total_minor: int | None = None,
    shown: str = "",
    unchecked: Collection[str] = (),
    settled: bool = False,
    unstated_seen: str = "",
    read: Collection[str] = (),
    not_asked_seen: bool = False,
    day_over_seen: str = "",
    unsure_seen: str = "",
    together: Measuring | None = None,
    reserve_day: bool = False,
    place: Slot | None = None,
    offered: Collection[str] = (),
) -> Quote:
    """Send a draft; from then on it never changes. An older revision that waits for an answer is replaced by it.

    The estimate is computed again with the present Book. ``shown_total_minor`` is the total the owner was shown, and
    ``shown`` the mark of all she was shown (:func:`content_mark`): what differs is refused. ``unchecked`` are the codes
    of the products she sends although nobody checked all of their allergens. ``settled`` is her word that what guests
    cannot eat was talked over, and ``unstated_seen`` the mark of the desserts that go although nothing says how to hold
    them (:func:`unstated_mark`): both are asked for where there are any, and written down with them.
    ``read`` are the marks of the words she has read (:class:`ToRead`): the allergy note, and whatever may speak of a
    need; each is written down. ``not_asked_seen`` is her word that she has seen that nobody asked the customer about
    allergies, where nobody did, and ``day_over_seen`` the mark of the limits of its day that she goes beyond
    (:class:`DayOver`), where she does, and ``unsure_seen`` the mark of what is in the way where no place was found for
    it (:class:`PlaceUnsure`). ``together`` is what is measured of batches shared with promised orders. With
    ``reserve_day`` its day is kept, at the ``place`` found for it. ``offered`` are the marks of other windows that the
    customer may choose (:class:`Offer`).

    Raises
    ------
    Quote.DoesNotExist
        If there is none.
    TransitionNotAllowed, ChangedMeanwhile
        If it is no draft any more, or (ContentChanged, with the parts) not what was shown.
    InquiryClosed, AlreadyApproved, EmptyTable, ValidityPassed, EventPassed, BelowFloor, PriceChanged, TotalsDiffer
        For that reason.
    MessageUnanswered
        If a customer's message may name a need, and nobody has recorded it, or that there is none in it.
    NoteUnsettled
        If there is an allergy note, and it is not said that every need in it is recorded.
    TextUnread
        If other words, or a name, may speak of what a guest cannot eat, and are not ``read``.
    NotAsked
        If nobody asked the customer about allergies, and that was not seen.
    DayOverLimit
        If its day would have more events or guests than the owner wants, and ``day_over_seen`` is not the mark of that.
    PlaceUnseen
        If no place was found for it beside what is promised, and ``unsure_seen`` is not the mark of that.
    SourceUnshown, HoldingContradicts
        If a recipe counts as safe at room temperature by words that do not show it, or a text says to keep out of the
        cold what the quote says to keep cold.
    NeedsUnsettled
        If some guest cannot eat some of it, and it is not ``settled``.
    HoldingUnseen, RoomHoldingUnseen
        If nothing, or only a source, says how some desserts are held, and ``unstated_seen`` is not the mark of these.
    AllergensUnchecked
        If a product that is not in ``unchecked`` was not checked for every allergen.
    InputErrors
        If the catalog or the table cannot be priced.
    WordsUnproven, ClaimsUntrue, NoteUnproven
        If words of the profile, names and descriptions, or others that the customer reads, claim what is not so.
    WindowTooEarly, OutsideHours, NeverCold, OutTooLong
        If the desserts cannot be ready, be handed over, or stay cold, by the window.
    OrderNotOpen, BelowBegun, AnotherInForce, NothingAmended
        If it changes an order, and that cannot be changed so.
    TermsDisagree
        If dates that were stated for it cannot both hold.
    WindowsChanged, TooManyOffered
        If a window that is to be offered does not work for it, or there are too many.
    WindowTaken
        If it was found that they cannot be made for it beside what is promised.
    SlotTaken, SlotUndecided
        If its day is to be kept, and no place was found for it in the plan.
    CoolingRuleBroken
        If something breaks the cooling rule in force, and what is measured instead is not recorded.
    BrokenWithThis
        If a batch breaks it together with promised orders, and ``together`` does not say what is measured.
    OrderError
        If what is measured of a batch made together with other orders lacks a part (:meth:`Measuring.check`).
    """
    quote, kitchen = quote_locked(quote_id), kitchen_now()
    rows_read(quote)
    with timezone.override(ZoneInfo(kitchen.time_zone)):
        columns, open_, unsaid, words = _priced_and_checked(
            quote, kitchen, at, shown_total_minor, shown, offered, together
        )
        check_read(words, read)
        if missed := [dish.name for dish in open_ if dish.code not in unchecked]:
            raise AllergensUnchecked(products=missed)
        not_for_all = _not_for_all(content_read(columns["content"]))
        if not_for_all and not settled:
            raise NeedsUnsettled(products=not_for_all)
        if unsaid and unstated_seen != unstated_mark(unsaid):
            raise unseen(unsaid)
        not_asked = quote.inquiry.not_asked
        if not_asked and not not_asked_seen:
            raise NotAsked(what=str(quote))
        over = over_or_refused(quote, kitchen, day_over_seen)
        unsure_or_refused(quote, unsure_seen, by=by, at=at)
        _replace_older(quote, by=by, at=at)
        params = {"unchecked": [dish.name for dish in open_]} if open_ else {}
        transition(quote, QuoteEvent.SEND, by=by, at=at, params=params, sent_at=at, sent_by=by, **columns)
    if not_asked:
        audit(quote, "send_not_asked", by=by, at=at)
    if not_for_all:
        audit(quote, "settle_needs", by=by, at=at, params={"products": not_for_all})
    read_noted(quote, words, by=by, at=at)
    if together is not None:
        shared_reason(quote, table_units(quote), book_current(), together, by=by, at=at)
    # Each was ticked by its text; what was written about another quote is read there.
    own = [int(one.what) for one in words if one.kind == "message"]
    Message.objects.filter(pk__in=own, seen_at=None).update(seen_at=at)
    holding_seen(quote, unsaid, by=by, at=at)
    over_seen(quote, over, by=by, at=at)
    # An order that is changed has its place already.
    day_reserve(quote, place, wanted=reserve_day and quote.amends_id is None, by=by, at=at)
    pictures_quoted([ref.sha256 for ref in content_read(quote.content).pictures], at=at)
    _ask_for_pdf_and_mail(quote, at)
    return quote


def _priced_and_checked(
    quote: Quote,
    kitchen: Kitchen,
    at: datetime,
    shown_total_minor: int | None,
    shown: str,
    offered: Collection[str],
    together: Measuring | None,
) -> tuple[dict[str, Any], tuple[UncheckedDish, ...], tuple[Unstated, ...], tuple[ToRead, ...]]:
    """Price the draft with today's Book, raise any refusal, and return the columns of a sent quote.

    With them come the products whose allergens nobody checked, those of which nothing says how they are kept, and the
    words that are to be read first.
    """
    _check_ready(quote, at)
    book, brief = book_current(), brief_of_quote(quote, day=timezone.localtime(at).date())
    priced = estimate(book, brief)
    window = window_of(quote, priced, book=book, kitchen=kitchen, at=at)
    dates = dates_of(quote, kitchen, at=at, begins=window.begins if window else None)
    content = content_of(quote, priced, book, kitchen, at, dates=dates)
    for refusal in amend_refusals(quote, content):
        raise refusal
    _check_totals(quote, priced, content, shown_total_minor)
    if shown and shown != content_mark(content):
        raise ContentChanged(what=str(quote), parts=[Reason(f"moved_{part}") for part in parts_changed(content, shown)])
    check_words(kitchen, book, table_of(quote).extras)
    products, extras = [line.product for line in content.lines], table_of(quote).extras
    open_ = unchecked_dishes(book, products, extras)
    check_claims(table_claims(book, products, extras))
    for place, text in texts_read(quote, content):
        check_note(text, quote, place=place)
    check_answer(window)
    for found in dates.contradictions:
        raise refusal_of(found)
    for too_much in over_total(quote, content.total_minor):
        raise too_much
    check_beside(quote, at)
    check_sending(quote, {line.product: line.units for line in priced.lines}, book, together)
    for refusal in (*sources_unshown(products, book), *contradictions(content, book)):
        raise refusal
    unsaid = to_see([line.product for line in priced.lines], priced.allergens, book)
    words = to_read(quote, book, kitchen, content)
    if offered:
        content = with_offered(content, offers_of(quote, content, priced, book, kitchen, dates, at), offered)
    return sent_columns(kitchen, book, brief, priced, content, at), open_, unsaid, words


def _not_for_all(content: QuoteContent) -> list[str]:
    """Return the desserts that some guest cannot eat. Whose need it is stays in the content, which can be erased."""
    every = (dish for need in unmet(content.needs or ()) for dish in need.dishes if dish.serves != Serves.FREE)
    return list(dict.fromkeys(dish.name for dish in every))


def _check_ready(quote: Quote, at: datetime) -> None:
    if quote.status != QuoteStatus.DRAFT:
        return  # the transition raises the refusal
    for refusal in refusals(quote, at):
        raise refusal


def _check_totals(quote: Quote, priced: Estimate, content: QuoteContent, shown_total_minor: int | None) -> None:
    if not content.adds_up():
        raise TotalsDiffer(what=str(quote))
    if shown_total_minor is not None and shown_total_minor != content.total_minor:
        now, seen = (from_minor(total, content.currency) for total in (content.total_minor, shown_total_minor))
        raise PriceChanged(now=now, seen=seen)
    totals = priced.totals
    if totals.below_floor and not quote.override_reason:
        raise BelowFloor(what=str(quote), margin=totals.goods_margin, floor=kitchen_now().floor_margin)


def _replace_older(quote: Quote, *, by: str, at: datetime) -> None:
    """Withdraw the older revision first: two revisions of a number are never open at once."""
    for older in Quote.objects.filter(number=quote.number).filter(status=QuoteStatus.SENT).exclude(pk=quote.pk):
        params = {"revision": quote.revision}
        transition(older, QuoteEvent.REPLACE, by=by, at=at, params=params, answered_at=at)


def _ask_for_pdf_and_mail(quote: Quote, at: datetime) -> None:
    """Request the PDF; the mail with the link is requested when it is stored, so that an approval has its hash."""
    mail = "quote_sent" if quote.revision == 1 else "quote_changed" if quote.amends_id is None else "change_sent"
    payload = {"quote": quote.pk, "mail": mail}
    pdf_ask(kind="quote_pdf", payload=payload, about=f"quote:{quote.pk}", what=str(quote), at=at)


@transaction.atomic(durable=True)
def quote_revise(*, quote_id: int, by: str, at: datetime) -> Quote:
    """Create the next revision as a draft; the sent one stays valid until the draft is sent.

    Its dates are taken anew: the usual ones, computed from when it is sent and the event as it is by then.

    What is measured instead of a cooling rule goes along; where steps or verdict have changed it has to be recorded
    anew before the draft is sent.

    Raises
    ------
    Quote.DoesNotExist
        If there is none.
    AnotherDraft
        If one of this number is begun already.
    AlreadyApproved, OrderNotOpen, TransitionNotAllowed
        If one of this number was approved; if the order of an amendment is over, or it was answered.
    QuoteErased
        If the customer's personal data was erased from it.
    InquiryClosed
        If the inquiry is closed.
    """
    quote = quote_locked(quote_id)
    if quote.content and content_read(quote.content).erased:
        raise QuoteErased(what=str(quote))
    if quote.inquiry.closed_at is not None:
        raise InquiryClosed(what=str(quote.inquiry))
    every = list(Quote.objects.filter(number=quote.number).order_by("revision"))
    for other in every:
        if other.status == QuoteStatus.DRAFT:
            raise AnotherDraft(what=str(other))
        if other.status == QuoteStatus.APPROVED and quote.amends_id is None:
            raise AlreadyApproved(what=str(other))
    if quote.amends is not None and quote.amends.status not in ORDERS_AHEAD:
        raise OrderNotOpen(order=quote.amends.number, status=quote.amends.status)
    if quote.amends is not None and quote.status != QuoteStatus.SENT:
        raise TransitionNotAllowed(what=str(quote), status=quote.status, event="revise")
    draft = revision_next(quote, at=at, amends=quote.amends)
    lines_write(draft, table_of(quote))
    overrides_carried(draft, quote)
    audit(draft, "revise", by=by, at=at, params={"revision": quote.revision})
    return draft


@transaction.atomic(durable=True)
def quote_withdraw(*, quote_id: int, by: str, at: datetime, reason: str = "", read: Sequence[str] = ()) -> Quote:
    """Withdraw a quote, or discard a draft. The customer is informed only if it had been sent.

    ``read`` are the marks of the sentences of the reason that somebody has checked (:class:`FineWords`).

    Raises
    ------
    Quote.DoesNotExist
        If there is none.
    TransitionNotAllowed
        If it was answered already.
    ChangedMeanwhile
        If its status was changed first.
    NoteUnproven
        If the reason, which the customer reads, claims what the desserts or the kitchen do not bear out.
    TextUnread
        If a sentence of it may say that something is for guests who cannot eat all of it, and it is not ``read``.
    """
    quote = quote_locked(quote_id)
    if quote.status == QuoteStatus.DRAFT:
        # The next draft gets its revision number.
        transition(quote, QuoteEvent.WITHDRAW, by=by, at=at, note=reason, answered_at=at, replaces=None)
        amendment_over(quote)
        return quote
    check_note(reason, quote, place="reason")
    check_fine(reason, quote, read, place="reason")
    transition(quote, QuoteEvent.WITHDRAW, by=by, at=at, note=reason, answered_at=at)
    amendment_over(quote)
    quote_mail_ask("quote_withdrawn", quote, at=at, words=reason)
    return quote


def quotes_expire(*, at: datetime) -> int:
    """Expire every open quote past its last day; return how many."""
    due = Quote.objects.filter(status=QuoteStatus.SENT, valid_until__lt=at).values_list("pk", flat=True)
    return sum(_expire(quote_id, at) for quote_id in list(due))


@transaction.atomic(durable=True)
def _expire(quote_id: int, at: datetime) -> bool:
    quote = quote_locked(quote_id)
    if quote.status != QuoteStatus.SENT:
        return False
    transition(quote, QuoteEvent.EXPIRE, by=CLOCK, at=at, answered_at=at)
    amendment_over(quote)
    return True
