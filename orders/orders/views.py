"""Orders: the list, the order's page, and what happens to it."""

from collections.abc import Iterable

from django import forms
from django.contrib import messages
from django.core.paginator import Paginator
from django.http import HttpRequest, HttpResponse, QueryDict
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext
from django.utils.translation import gettext_noop as marked
from django.views.decorators.http import require_safe

from catalog.kitchen.selectors import kitchen
from catalog.pantry.presenters import counted_need_words
from catalog.web import display
from catalog.web.access import BOOKKEEPER, KITCHEN, OWNER, allow
from catalog.web.actions import sent_to
from catalog.web.edits import Edit
from catalog.web.pages import query_without_page
from catalog.web.roles import buttons, has_role, sees_prices
from orders.cooling_log.likely import minded_of
from orders.cooling_log.limit_presenters import late_limit_words
from orders.cooling_log.limits import late_limits
from orders.cooling_log.presenters import mark_shown
from orders.cooling_log.selectors import book_now, cooling_marks
from orders.cooling_log.starting import StartOpen, start_open
from orders.cooling_log.step_presenters import step_marks
from orders.cooling_log.steps_open import open_steps
from orders.cooling_log.too_early import too_early
from orders.documents.content import QuoteContent
from orders.inquiries.models import Inquiry
from orders.invoices.bill_to import buyer_of
from orders.invoices.models import Invoice
from orders.mail.addresses import can_be_written_to
from orders.mail.presenters import link_reason, mails_shown, sending_words
from orders.mail.selectors import mail_leaves, mails_about
from orders.orders.cancel_presenters import by_terms_words
from orders.orders.forms import DeliverForm, FindForm, InformForm, NoteForm, StartForm
from orders.orders.models import Order
from orders.orders.money_presenters import money_shown
from orders.orders.next_presenters import next_shown
from orders.orders.next_step import Roles
from orders.orders.not_done import NOT_HANDED_OVER, NOT_STARTED
from orders.orders.old_sheets import old_sheets
from orders.orders.presenters import (
    canceled_money_words,
    informed_shown,
    kitchen_note_words,
    lists_shown,
    order_history_rows,
    taken_off_mailed,
    unsettled_sentences,
    untold_sentences,
)
from orders.orders.read_first import call_open, note_unrecorded, read_first, words_mark
from orders.orders.selectors import (
    SHOWS,
    SORTS,
    order_informing,
    order_page,
    orders_listed,
    orders_untold,
    orders_written,
    usual_sort,
)
from orders.orders.services import (
    customer_inform,
    note_version,
    order_close,
    order_deliver,
    order_note,
    order_start,
)
from orders.quotes.amendments.selectors import amendment_open
from orders.quotes.cooling.measuring_forms import MeasuringForm
from orders.quotes.cooling.presenters import cooling_link
from orders.quotes.draft.message_needs import MessageOpen, messages_elsewhere, messages_unread
from orders.quotes.draft.presenters import changed_sentences
from orders.records.errors import NoteUnproven, OrderError
from orders.records.need_errors import CallNamesNeed
from orders.records.presenters import sentence
from orders.records.states import ORDERS_AHEAD, OrderStatus
from orders.reminders.presenters import reminders_line


@require_safe
@allow(OWNER, KITCHEN, BOOKKEEPER)
def orders(request: HttpRequest) -> HttpResponse:
    """List orders, those to be made first."""
    which, money = request.GET.get("show", ""), sees_prices(request)
    which = which if which in SHOWS else "open"
    # A text is looked for in all orders: each row says where its order stands.
    which = "all" if request.GET.get("find", "").replace("\x00", "").strip() else which
    form = FindForm(_searched(request.GET, which), kitchen=kitchen(), money=money, sort=usual_sort(which))
    asked = form.asked()
    page = Paginator(orders_listed(which=which, **asked), 50).get_page(request.GET.get("page"))
    context = {"page": page, "lists": lists_shown(which, request.GET), "show": which, "form": form, "money": money}
    everywhere = request.GET.copy()
    everywhere["show"] = "all"
    context |= {
        "untold": orders_untold([order.pk for order in page.object_list]),
        "written": orders_written([order.pk for order in page.object_list]),
        "all_query": everywhere.urlencode(),
        "narrowed": bool(asked["find"] or asked["day"]),
        "list_query": query_without_page(request),
    }
    return render(request, "orders/orders/list.html", context)


def _searched(query: QueryDict, which: str) -> QueryDict:
    """Return what the list's form shows: what was asked for, without what no database looks for."""
    data = query.copy()
    data["find"] = query.get("find", "").replace("\x00", "").strip()[:80]
    sort = str(query.get("sort", ""))
    data["sort"] = sort if sort in SORTS else usual_sort(which)
    return data


def _page(
    request: HttpRequest,
    order: Order,
    *,
    status: int = 200,
    note: Edit[Order, NoteForm] | None = None,
    **forms: forms.Form,
) -> HttpResponse:
    """Return the order's page; a submitted form with errors replaces the empty one."""
    now, may, note = timezone.now(), buttons(request), note or _note(order.pk)
    # Of a canceled order nothing is made.
    marks = {} if order.canceled_at else cooling_marks([order]).get(order.pk, {})
    roles = Roles(**may, money=sees_prices(request))
    page = order_page(order, roles=roles, marks=marks.values(), at=now)
    cooling = [mark_shown(mark, order.number) for mark in marks.values()]
    cooling += step_marks([order], open_steps([order]))
    context = {
        "order": order,
        "page": page,
        "next": next_shown(page.next, order, page.content, at=now),
        "step": page.next,
        "sums": money_shown(page.money, page.next, order, page.scheduled, page.documents) if page.money else None,
        "canceled_money": by_terms_words(order) or canceled_money_words(order.canceled_money),
        "cooling": cooling,
        "cooling_folded": sum(mark.kind == "stop" for mark in cooling) > 1,
        "cooling_open": any(not (mark.settled or mark.discarded) for mark in marks.values()),
        "discarded": any(mark.discarded and not mark.settled for mark in marks.values()),
        "to_measure": any(mark.to_measure for mark in marks.values()),
        "too_old": all(mark.settled or mark.discarded or mark.too_old for mark in marks.values()),
        "limit": _limit(order),
        "likely": minded_of(order, marks),
        "unread": messages_unread(order.quote.inquiry, page.since.messages),
        "read_first": read_first(order),
        "old_sheets": old_sheets(order),
        "kitchen_note": kitchen_note_words(note_unrecorded(order)),
        "elsewhere": _elsewhere(order),
        "amendment": amendment_open(order) if may["owner"] else None,
        "bill_to": buyer_of(order, page.content),
        "can_change": may["owner"] and order.status in ORDERS_AHEAD,
        **_needs(order, page.content),
        "history": order_history_rows(page.history or [], order.customer.name, page.documents or []),
        "note": note,
        "note_form": note.forms,
        "start_form": StartForm(),
        **_waiting(order),
        "deliver_form": DeliverForm(marks=marks.values()),
        "unsettled": unsettled_sentences(page.known),
        "inform_form": InformForm(),
        "informed": informed_shown(page.informing),
        "open_changes": untold_sentences(page.informing),
        "can_mail": mail_leaves() and can_be_written_to(order.customer.email),
        "no_address": not can_be_written_to(order.customer.email),
        **_mail(order, page.documents or [], owner=may["owner"]),
        "customer_phone": order.customer.phone or page.content.customer.phone,
        **may,
        **forms,
    }
    return render(request, "orders/orders/order.html", context, status=status)


def _needs(order: Order, content: QuoteContent) -> dict[str, object]:
    """Return the needs and notes that an order was approved with, and those that its inquiry names by now."""
    inquiry = order.quote.inquiry
    counts = {need.need: need.guests for need in content.needs or () if need.guests is not None}
    needs = dict.fromkeys([*content.event.allergies, *inquiry.allergies])
    notes = dict.fromkeys(note for note in (content.event.allergy_note, inquiry.allergy_note) if note)
    words = counted_need_words(list(needs), {**counts, **inquiry.need_counts})
    return {"needs_words": words, "allergy_notes": list(notes)}


def _elsewhere(order: Order) -> tuple[MessageOpen, ...]:
    """Return what the customer wrote about another quote, while somebody may still eat of the order."""
    eaten = order.status in (*ORDERS_AHEAD, OrderStatus.DELIVERED)
    return messages_elsewhere([order.quote.inquiry]).get(order.quote.inquiry_id, ()) if eaten else ()


def _mail(order: Order, documents: Iterable[Invoice], *, owner: bool) -> dict[str, object]:
    """Return where the mails about an order's quote and its invoices stand, for the owner."""
    if not owner:
        return {}
    about = [f"quote:{order.quote_id}", f"order:{order.pk}", *(f"invoice:{document.pk}" for document in documents)]
    customer = order.customer
    reason = link_reason(name=customer.name, address=can_be_written_to(customer.email))
    line = reminders_line(order.quote, at=timezone.now())
    return {"mail": mails_shown(mails_about(*about)), "link_reason": reason, "reminders_line": line}


def _waiting(order: Order) -> dict[str, object]:
    """Return what the owner answers before production starts, and the form for it; nothing once it has."""
    if order.status != OrderStatus.CONFIRMED:
        return {}
    found = start_open(order)
    asked = {"unanswered": found.unanswered, "together": found.together, "unjudged": found.unjudged}
    names: dict[str, object] = {which: [mark.name for mark in marks] for which, marks in asked.items()}
    never = [(one.name, cooling_link(one.item)) for one in found.never]
    names["together"] = [f"{mark.name}: {mark_shown(mark).sentence}" for mark in found.together]
    waiting = names | {"asks_reason": found.asks_reason, "late": list(found.late), "never": never}
    early = too_early(order, book_now(), at=timezone.now())
    return {"waiting": waiting, "measuring": _measuring(found, None), "early": early}


def _measuring(found: StartOpen, data: QueryDict | None) -> MeasuringForm:
    """Return the form of what is measured where that is asked at the start; what is not asked is not read."""
    data = None if data is None else data if found.asks_reason else QueryDict()
    limits = found.limits if found.asks_reason else ()
    return MeasuringForm(data, name=display.listed(found.names), limits=limits, prefix="together", optional=True)


def _limit(order: Order) -> str:
    """Return that today's limit of time out of the cold does not fit the window any more, while it is to be made."""
    late = late_limits([order], kitchen()).get(order.pk) if order.status in ORDERS_AHEAD else None
    return late_limit_words(late) if late is not None else ""


def _note(pk: int, data: QueryDict | None = None) -> Edit[Order, NoteForm]:
    return Edit(
        data=data,
        load=lambda: _order(pk),
        forms=lambda order, data: NoteForm(data, initial={"note": order.note}),
        version_of=note_version,
        page=reverse("order", args=[pk]),
    )


def _order(pk: int) -> Order:
    orders = Order.objects.select_related("customer", "quote__inquiry__customer").prefetch_related("lines__product")
    return get_object_or_404(orders, pk=pk)


@require_safe
@allow(OWNER, KITCHEN, BOOKKEEPER)
def order(request: HttpRequest, pk: int) -> HttpResponse:
    """Show an order; the kitchen sees no money."""
    return _page(request, _order(pk))


@sent_to("order")
@allow(OWNER, KITCHEN)
def order_start_view(request: HttpRequest, pk: int) -> HttpResponse:
    """Record that production has begun."""
    found, form = _order(pk), StartForm(request.POST)
    names = ("despite", "note_read", "sheets_seen", "early")
    marks = {name: form.cleaned_data[name] if form.is_valid() else "" for name in names}
    together = _measuring(start_open(found), request.POST if has_role(request, OWNER) else QueryDict())
    if not together.is_valid():
        return _page(request, found, status=422, start_form=form, measuring=together)
    try:
        started = order_start(
            order_id=pk,
            **marks,
            read=form.messages_read(),
            together=together.measuring(),
            by=request.user.get_username(),
            at=timezone.now(),
        )
    except NOT_STARTED as refusal:
        if refusal.place.startswith("together"):
            together.refuse(refusal)
        else:
            form.add_error(refusal.place or None, sentence(refusal))
        return _page(request, found, status=422, start_form=form, measuring=together)
    messages.success(request, gettext("%(number)s is in production.") % {"number": started.number})
    return redirect("order", pk)


@sent_to("order")
@allow(OWNER, KITCHEN)
def order_deliver_view(request: HttpRequest, pk: int) -> HttpResponse:
    """Record that the order was handed over."""
    found = _order(pk)
    form = DeliverForm(request.POST, marks=cooling_marks([found]).get(pk, {}).values())
    if not form.is_valid():
        return _page(request, found, status=422, deliver_form=form)
    facts = {name: form.cleaned_data[name] for name in ("note", "despite", "note_read")}
    facts |= {"core": form.cleaned_data.get("core")}
    facts |= {"left_out": form.left_out_items(), "read": form.messages_read(), "owner": has_role(request, OWNER)}
    try:
        delivered = order_deliver(order_id=pk, **facts, by=request.user.get_username(), at=timezone.now())
    except NOT_HANDED_OVER as refusal:
        form.add_error(refusal.place if refusal.place in form.fields else None, sentence(refusal))
        return _page(request, found, status=422, deliver_form=form)
    done = gettext(_HANDED_OVER[found.event.hand_over])
    messages.success(request, done % {"number": delivered.number})
    return redirect("order", pk)


@sent_to("order")
@allow(OWNER, KITCHEN)
def order_inform_view(request: HttpRequest, pk: int) -> HttpResponse:
    """Write to the customer about new allergens, or record that they were called."""
    found, form = _order(pk), InformForm(request.POST)
    if not form.is_valid():
        return _page(request, found, status=422, inform_form=form)
    known, way = order_informing(found).informing, form.cleaned_data["way"]
    if known.waits and form.cleaned_data["seen"] != known.mark:
        form.add_error(None, gettext(_MORE))
        return _page(request, found, status=422, inform_form=form)
    if way == "mail" and not mail_leaves():
        form.add_error(None, gettext("No e-mail can be sent: no mail server is set up. Call the customer."))
        return _page(request, found, status=422, inform_form=form)
    words, by = "\n".join([*taken_off_mailed(known), *changed_sentences(known.open)]), request.user.get_username()
    note, their_words = (form.cleaned_data[name] if way == "phone" else "" for name in ("note", "their_words"))
    try:
        new = customer_inform(
            order_id=pk,
            way=way,
            changes=known.open,
            needs=known.needs,
            taken_off=known.taken_off,
            words=words,
            note=note,
            their_words=their_words,
            note_read=form.cleaned_data["note_read"],
            by=by,
            at=timezone.now(),
        )
    except OrderError as refusal:
        named = call_open(note, found) if isinstance(refusal, CallNamesNeed) else None
        form.asked = words_mark(named) if named is not None else ""
        form.add_error("note" if way == "phone" else None, sentence(refusal))
        return _page(request, found, status=422, inform_form=form)
    messages.success(request, _informed(way) if new else gettext("This was recorded already."))
    return redirect("order", pk)


_MORE = marked("More changed since this page was opened. Read the changes again, then tell the customer.")
_HANDED_OVER: dict[str, str] = {
    Inquiry.HandOver.DELIVERY: marked("%(number)s is delivered."),
    Inquiry.HandOver.PICKUP: marked("%(number)s is picked up."),
}


def _informed(way: str) -> str:
    return sending_words() if way == "mail" else gettext("Your call is recorded.")


@sent_to("order")
@allow(OWNER)
def order_close_view(request: HttpRequest, pk: int) -> HttpResponse:
    """Close an order that is invoiced and paid."""
    get_object_or_404(Order, pk=pk)
    closed = order_close(order_id=pk, by=request.user.get_username(), at=timezone.now())
    messages.success(request, gettext("%(number)s is closed.") % {"number": closed.number})
    return redirect("order", pk)


@sent_to("order")
@allow(OWNER, KITCHEN)
def order_note_view(request: HttpRequest, pk: int) -> HttpResponse:
    """Change the note for the kitchen."""
    edit, by, at = _note(pk, request.POST), request.user.get_username(), timezone.now()
    if not edit.forms.is_valid():
        return _page(request, edit.record, status=422, note=edit)
    try:
        saved = edit.saved(lambda mark: order_note(order_id=pk, **edit.forms.cleaned_data, version=mark, by=by, at=at))
    except NoteUnproven as refusal:
        edit.forms.add_error("note", sentence(refusal))
        return _page(request, edit.record, status=422, note=edit)
    if not saved:
        return _page(request, edit.record, status=edit.status(), note=edit)
    messages.success(request, gettext("Note saved."))
    return redirect("order", pk)
