"""The transitions of an order: confirmed, in production, delivered, closed, canceled."""

from collections.abc import Collection, Sequence
from datetime import datetime
from decimal import Decimal
from typing import Any

from django.db import transaction

from catalog.kitchen.selectors import kitchen_zone, local_day
from catalog.products.models import Product
from catalog.records.moments import same_hour
from catalog.records.versions import existing_unchanged, stored, version_mark
from orders.cooling_log.selectors import CoolingMark, book_now, cooling_marks
from orders.cooling_log.starting import start_answer
from orders.cooling_log.too_early import early_or_refused, too_early
from orders.documents.agreed import content_agreed
from orders.documents.content import NeedServed, QuoteContent
from orders.invoices.changes import change_to_bill
from orders.invoices.models import ScheduledPayment
from orders.invoices.order_money import order_money
from orders.invoices.schedule import deposit_due_on, scheduled_of
from orders.mail.services import mail_address
from orders.orders.going_out import check_goes_out
from orders.orders.informing import INFORMED, TakenOff, Way, informed, needs_open, parts_of, still_open, taken_off_open
from orders.orders.models import Order, OrderLine
from orders.orders.old_sheets import check_sheets, old_sheets
from orders.orders.read_first import call_open, check_read_first, read_first, words_mark
from orders.orders.selectors import order_informing
from orders.quotes.amendments.services import amendments_void
from orders.quotes.cooling.measuring_content import Measuring
from orders.quotes.cooling.selectors import Item
from orders.quotes.draft.allergens import LabelChange
from orders.quotes.draft.claims import check_note
from orders.quotes.draft.message_answers import words_beyond, words_noted
from orders.quotes.mails import quote_mail_ask
from orders.quotes.models import Quote
from orders.quotes.selectors import quote_locked
from orders.records.amend_errors import ChangeNotSettled
from orders.records.cancel_errors import NoCancellationTable
from orders.records.errors import CallNoteMissing, CreditLeft, DecideTheMoney, NotInvoiced, NotPaid
from orders.records.money import from_minor
from orders.records.need_errors import CallNamesNeed, OrderUnsettled
from orders.records.numbers import number_next
from orders.records.states import OrderEvent
from orders.records.transitions import audit, transition


def order_from_quote(*, quote: Quote, content: QuoteContent, by: str, at: datetime) -> Order:
    """Create the confirmed order of an approved quote, at the end of the approval's transaction.

    Its number comes last: whoever needs one waits for the commit of this one.
    """
    start, end = window_of(content)
    order = Order(
        quote=quote,
        customer=quote.inquiry.customer,
        title=content.event.title,
        window_start=start,
        window_end=end,
        currency=content.currency,
        total_minor=content.total_minor,
        deposit_minor=content.deposit_minor,
        deposit_due_on=deposit_due_on(content, approved_on=local_day(at)),
        final_count_on=content.final_count_on,
        confirmed_at=at,
    )
    order.number = number_next("order")
    order.save(force_insert=True)
    OrderLine.objects.bulk_create(lines_of(order, quote, content))
    ScheduledPayment.objects.bulk_create(scheduled_of(order, content, approved_on=local_day(at)))
    audit(order, "confirm", after=order.status, by=by, at=at, params={"quote": content.number})
    return order


def window_of(content: QuoteContent) -> tuple[datetime, datetime]:
    """Return the window of a content as moments of the kitchen's clock as it is set now."""
    zone = kitchen_zone()
    return same_hour(content.event.window_start, zone), same_hour(content.event.window_end, zone)


def lines_of(order: Order, quote: Quote, content: QuoteContent) -> list[OrderLine]:
    """Return the lines of an order as an approved content has them; not saved."""
    products = _products(quote, content)
    return [
        OrderLine(order=order, position=place, product_id=products[line.product], name=line.name, units=line.units)
        for place, line in enumerate(content.lines)
    ]


def _products(quote: Quote, content: QuoteContent) -> dict[str, int]:
    """Return the products by code; a product whose code has changed is found through the quote's line."""
    codes = [line.product for line in content.lines]
    found = dict(Product.objects.filter(code__in=codes).values_list("code", "pk"))
    missing = [code for code in codes if code not in found]
    if missing:
        known = set(found.values())
        spare = (line.product_id for line in quote.lines.all() if line.product_id not in known)
        found.update(zip(missing, spare, strict=False))
    return found


@transaction.atomic(durable=True)
def order_start(
    *,
    order_id: int,
    despite: str | None = None,
    read: Collection[int] = (),
    note_read: str = "",
    early: str = "",
    sheets_seen: str = "",
    together: Measuring | None = None,
    by: str,
    at: datetime,
) -> Order:
    """Record that production has begun.

    ``despite`` is the mark of what is not settled with the customer (:class:`Known`); None where nobody is asked.
    ``read`` are the customer's messages that whoever starts it has read, whatever they say: they wait for the owner's
    statement all the same.
    ``note_read`` is the mark of a kitchen note that may name a need and was read (:class:`ReadFirst`).
    ``early`` is the mark of what is made too early (:class:`TooEarly`), as whoever starts it has seen.
    ``sheets_seen`` is the mark of old kitchen sheets that are not used (:class:`OldSheets`).
    ``together`` is what is measured where a batch breaks the cooling rule as it is made for several orders at once, or
    where nobody can judge how something cools.

    Raises
    ------
    OrderUnsettled
        When something else is not settled.
    MessagesUnread
        When the customer wrote something else that nobody has read.
    KitchenNoteUnread
        When the kitchen note may name a need that is not recorded, and nobody has read just that.
    StartTooEarly
        When all of it would be older than it keeps.
    StartEarly
        When part of it would be, before the first day of its plan, and just that was not seen.
    SheetsOld
        When its sheets were opened before the change in force, and nobody says that they are not used.
    StartNever
        When something may never get cold by today's steps.
    StartWaits
        When something breaks the cooling rule, and the owner has not recorded for today's steps what is measured.
    BrokenTogether, StartLate, StartUnjudged
        When a batch breaks the rule only as it is made for several orders, or nobody can judge it, and nothing says
        what is measured.
    """
    order = Order.objects.select_related("quote__inquiry__customer").get(pk=order_id)
    params, unread = _unsettled(order), read_first(order)
    early_start = too_early(order, book_now(), at=at)

    def ready() -> None:
        _settled_or(params, despite)
        check_read_first(unread, read, note_read)
        check_sheets(old_sheets(order), sheets_seen)
        start_answer(order, together, by=by, at=at)
        early_or_refused(order, early_start, early)

    params |= unread.params | ({"early": early_start.names} if early_start else {})
    transition(order, OrderEvent.START, by=by, at=at, params=params, guard=ready)
    return order


def _unsettled(order: Order) -> dict[str, Any]:
    """Return what is not settled with an order's customer, for the history; empty where all is."""
    known = order_informing(order)
    if not known.unsettled:
        return {}
    informing = known.informing
    untold = parts_of(informing.open, informing.needs, informing.taken_off)
    return {"mark": known.mark, "messages": [one.message for one in known.since.messages], "untold": untold}


def _settled_or(params: dict[str, Any], despite: str | None) -> None:
    if "mark" in params and despite is not None and despite != params["mark"]:
        raise OrderUnsettled(place="despite")


@transaction.atomic(durable=True)
def order_deliver(
    *,
    order_id: int,
    note: str = "",
    core: Decimal | None = None,
    left_out: Collection[Item] = (),
    despite: str | None = None,
    read: Collection[int] = (),
    note_read: str = "",
    owner: bool = False,
    by: str,
    at: datetime,
) -> Order:
    """Record that the order was handed over. ``left_out`` is what was discarded and does not go out.

    ``despite``, ``read`` and ``note_read`` are as in :func:`order_start`, which not every order goes through.
    ``owner`` tells that the owner records it: nobody else hands over what is still to be measured, and the history
    names it.

    Raises
    ------
    DiscardedGoesOut, DiscardedWithoutNote
        When something is recorded as discarded, and nobody says that it does not go out.
    WaitsForOwner, TooOldWaits
        When something is still to be measured, or is older than it keeps, and it is not the owner who hands it over.
    RuleWasNotMet
        When the last measurement of something says that it did not keep the cooling rule, and no note says what goes
        out instead.
    CoolingOpen, TooOld
        When something is still marked to be measured, or is older than it keeps, and no note says why it goes out, or
        its core temperature is not entered.
    SaysNothing, NamesNothingServed, NotNamed
        When that note has no real words, or does not name what is served instead of each.
    TooWarmToGo
        When ``core``, the core temperature at the hand-over of what nothing shows to be cold, is too warm.
    OrderUnsettled
        When something else than ``despite`` is not settled with the customer.
    """
    quote_locked(Order.objects.values_list("quote_id", flat=True).get(pk=order_id))
    order = Order.objects.get(pk=order_id)
    marks = cooling_marks([order]).get(order.pk, {}).values()
    open_, unread = _unsettled(order), read_first(order)

    def ready() -> None:
        check_goes_out(marks, note, core, left_out, owner=owner)
        _settled_or(open_, despite)
        check_read_first(unread, read, note_read)

    params = {**open_, **_cooling_params(marks), **unread.params} | ({} if core is None else {"core": str(core)})
    transition(order, OrderEvent.DELIVER, by=by, at=at, note=note, params=params, guard=ready, delivered_at=at)
    amendments_void(order, by=by, at=at)
    return order


def _cooling_params(marks: Collection[CoolingMark]) -> dict[str, Any]:
    """Return what did not go out, and what went out without being measured, for the history."""
    gone = [mark.name for mark in marks if mark.discarded]
    parts = {mark.name: list(mark.gone) for mark in marks if mark.gone}
    unmeasured = [mark.name for mark in marks if mark.to_measure]
    every = {"left_out": gone, "left_out_parts": parts, "unmeasured": unmeasured}
    return {key: value for key, value in every.items() if value}


@transaction.atomic(durable=True)
def customer_inform(
    *,
    order_id: int,
    way: Way,
    changes: Sequence[LabelChange],
    needs: Sequence[NeedServed] = (),
    taken_off: Sequence[TakenOff] = (),
    words: str,
    note: str = "",
    their_words: str = "",
    note_read: str = "",
    by: str,
    at: datetime,
) -> bool:
    """Record that the customer was called about what is new, or write to them; return whether any was still open.

    ``words`` are the changes in words, for the mail, which says of itself how the guests' needs are served. ``note``
    says of a call whom it reached, ``note_read`` is its mark where somebody read it for needs; ``their_words`` are a
    message of theirs.

    Raises
    ------
    CallNoteMissing
        If a call is recorded without a note.
    CallNamesNeed
        If the note may name a need that is not recorded, and is not read.
    NoAddress
        If a mail is asked for and there is no address.
    """
    order = Order.objects.select_for_update().get(pk=order_id)
    records = informed([order.pk])[order.pk]
    still = parts_of(still_open(changes, records), needs_open(needs, records), taken_off_open(taken_off, records))
    if not still:
        return False
    params: dict[str, Any] = {"way": way, "parts": still}
    if way == "mail":
        customer = order.quote.inquiry.customer
        mail_address(customer.email, who=customer.name)
        asked = quote_mail_ask("allergens_changed", order.quote, at=at, words=words)
        params["mail"] = asked.pk if asked else None
    elif not note.strip():
        raise CallNoteMissing()
    elif (named := call_open(note, order)) is not None:
        if note_read != words_mark(named):
            raise CallNamesNeed(place="note", text=named.text[:240])
        params["note_read"] = note_read
    audit(order, INFORMED, by=by, at=at, note=note.strip(), params=params)
    words_noted(order.quote, words_beyond(note, their_words), by=order.quote.inquiry.customer.name, at=at)
    return True


@transaction.atomic(durable=True)
def order_close(*, order_id: int, by: str, at: datetime) -> Order:
    """Close an order that is invoiced and paid.

    Raises
    ------
    NotInvoiced, ChangeNotSettled, NotPaid, CreditLeft
        When something is missing.
    """
    orders = Order.objects.select_for_update(of=("self",)).select_related("customer", "quote")
    order = orders.get(pk=order_id)
    transition(order, OrderEvent.CLOSE, by=by, at=at, guard=lambda: _settled(order))
    return order


def _settled(order: Order) -> None:
    owed = order_money(order)
    if not owed.invoiced and order.total_minor:
        raise NotInvoiced(order=order.number)
    if change_to_bill(order) is not None:
        raise ChangeNotSettled(order=order.number)
    if owed.balance > 0:
        raise NotPaid(order=order.number, open=from_minor(owed.balance, order.currency))
    if owed.credit:
        raise CreditLeft(customer=order.customer.name, amount=from_minor(owed.credit, order.currency))


@transaction.atomic(durable=True)
def order_cancel(*, order_id: int, reason: str, money: str = "", by: str, at: datetime) -> Order:
    """Cancel an order. ``money`` says what happens with payments received (:class:`Order.CanceledMoney`).

    Raises
    ------
    DecideTheMoney
        When payments were received and nothing was decided.
    NoCancellationTable
        When its terms have a table: then :func:`orders.orders.cancel_services.order_cancel_by_terms` cancels it.
    """
    # Whoever approves a change of it locks its quotes first too.
    quote_locked(Order.objects.values_list("quote_id", flat=True).get(pk=order_id))
    order = Order.objects.select_for_update().get(pk=order_id)
    received = order_money(order).received
    if content_agreed(order.quote).cancellation_table:
        raise NoCancellationTable(order=order.number)

    def decided() -> None:
        if received > 0 and money not in Order.CanceledMoney.values:
            raise DecideTheMoney(amount=from_minor(received, order.currency), order=order.number)

    decision = money if received > 0 else ""
    transition(
        order,
        OrderEvent.CANCEL,
        by=by,
        at=at,
        guard=decided,
        note=reason,
        params={"money": decision} if decision else {},
        canceled_at=at,
        canceled_reason=reason,
        canceled_money=decision,
    )
    amendments_void(order, by=by, at=at)
    return order


def note_version(order: Order) -> str:
    """Return the version of an order's note for the kitchen, as stored."""
    return version_mark(stored(order, ["note"]))


@transaction.atomic(durable=True)
def order_note(*, order_id: int, note: str, by: str, at: datetime, version: str = "") -> Order:
    """Change the note for the kitchen, which is printed beside what the crew hands over.

    Raises
    ------
    Overtaken
        If its version is no longer ``version``.
    NoteUnproven
        If it claims what the desserts or the kitchen do not bear out.
    """
    order = existing_unchanged(Order, order_id, version, note_version)
    if note != order.note:
        check_note(note, order.quote, place="kitchen_note")
        order.note = note
        order.save(update_fields=["note"])
        audit(order, "note", by=by, at=at, note=note)
    return order
