"""Orders: the list, the order's page, and what happens to it."""

from django import forms
from django.contrib import messages
from django.core.paginator import Paginator
from django.http import HttpRequest, HttpResponse, QueryDict
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_POST, require_safe

from catalog.kitchen.selectors import kitchen
from catalog.web.access import BOOKKEEPER, KITCHEN, OWNER, allow
from catalog.web.edits import Edit
from catalog.web.form_data import submitted_data
from catalog.web.pages import query_without_page
from catalog.web.roles import buttons, sees_prices
from orders.cooling_log.limit_presenters import late_limit_words
from orders.cooling_log.limits import late_limits
from orders.cooling_log.presenters import marks_shown
from orders.cooling_log.selectors import cooling_marks
from orders.invoices.order_money import order_money
from orders.mail.addresses import can_be_written_to
from orders.orders.forms import CancelForm, DeliverForm, InformForm, NoteForm
from orders.orders.models import Order
from orders.orders.presenters import informed_shown, order_history_rows
from orders.orders.selectors import order_page, orders_listed
from orders.orders.services import (
    customer_inform,
    note_version,
    order_cancel,
    order_close,
    order_deliver,
    order_note,
    order_start,
)
from orders.quotes.draft.presenters import changed_sentences
from orders.records.cooling_errors import RuleWasNotMet
from orders.records.errors import OrderError
from orders.records.presenters import sentence
from orders.records.states import ORDERS_AHEAD

LISTS = {
    "ahead": "To make and hand over",
    "behind": "Handed over, not closed",
    "closed": "Closed or cancelled",
    "all": "All",
}


@require_safe
@allow(OWNER, KITCHEN, BOOKKEEPER)
def orders(request: HttpRequest) -> HttpResponse:
    """List orders by the day they leave."""
    which = request.GET.get("show", "ahead")
    which = which if which in LISTS else "ahead"
    find = request.GET.get("find", "").replace("\x00", "")[:80]
    page = Paginator(orders_listed(which=which, find=find), 50).get_page(request.GET.get("page"))
    lists = [(word, name, word == which) for word, name in LISTS.items()]
    context = {"page": page, "lists": lists, "show": which, "find": find, "money": sees_prices(request)}
    context["list_query"] = query_without_page(request)
    return render(request, "orders/orders/list.html", context)


def _page(
    request: HttpRequest,
    order: Order,
    *,
    status: int = 200,
    note: Edit[Order, NoteForm] | None = None,
    **forms: forms.Form,
) -> HttpResponse:
    """Return the order's page; a submitted form with errors replaces the empty one."""
    page = order_page(order, money=sees_prices(request))
    note = note or _note(order.pk)
    context = {
        "order": order,
        "page": page,
        "cooling": marks_shown([order], cooling_marks([order])).get(order.pk, []),
        "limit": _limit(order),
        "history": order_history_rows(page.history or []),
        "note": note,
        "note_form": note.forms,
        "deliver_form": DeliverForm(),
        "inform_form": InformForm(),
        "informed": informed_shown(page.informing),
        "open_changes": changed_sentences(page.informing.open),
        "can_mail": can_be_written_to(order.customer.email),
        "customer_phone": order.customer.phone or page.content.customer.phone,
        **buttons(request),
        **forms,
    }
    return render(request, "orders/orders/order.html", context, status=status)


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
    orders = Order.objects.select_related("customer", "quote").prefetch_related("lines__product")
    return get_object_or_404(orders, pk=pk)


@require_safe
@allow(OWNER, KITCHEN, BOOKKEEPER)
def order(request: HttpRequest, pk: int) -> HttpResponse:
    """Show an order; the kitchen sees no money."""
    return _page(request, _order(pk))


@require_POST
@allow(OWNER, KITCHEN)
def order_start_view(request: HttpRequest, pk: int) -> HttpResponse:
    """Record that production has begun."""
    get_object_or_404(Order, pk=pk)
    started = order_start(order_id=pk, by=request.user.get_username(), at=timezone.now())
    messages.success(request, f"{started.number} is in production.")
    return redirect("order", pk)


@require_POST
@allow(OWNER, KITCHEN)
def order_deliver_view(request: HttpRequest, pk: int) -> HttpResponse:
    """Record that the order was handed over."""
    found, form = _order(pk), DeliverForm(request.POST)
    if not form.is_valid():
        return _page(request, found, status=422, deliver_form=form)
    note_text = form.cleaned_data["note"]
    try:
        delivered = order_deliver(order_id=pk, note=note_text, by=request.user.get_username(), at=timezone.now())
    except RuleWasNotMet as refusal:
        form.add_error("note", sentence(refusal))
        return _page(request, found, status=422, deliver_form=form)
    messages.success(request, f"{delivered.number} is handed over.")
    return redirect("order", pk)


@require_POST
@allow(OWNER, KITCHEN)
def order_inform_view(request: HttpRequest, pk: int) -> HttpResponse:
    """Write to the customer about new allergens, or record that they were called."""
    found, form = _order(pk), InformForm(request.POST)
    if not form.is_valid():
        return _page(request, found, status=422, inform_form=form)
    known, way = order_page(found, money=False).informing, form.cleaned_data["way"]
    if known.open and form.cleaned_data["seen"] != known.mark:
        form.add_error(None, "More changed since this page was opened. Read what stands there now, then tell them.")
        return _page(request, found, status=422, inform_form=form)
    words, by = "\n".join(changed_sentences(known.open)), request.user.get_username()
    note = form.cleaned_data["note"] if way == "phone" else ""
    try:
        new = customer_inform(
            order_id=pk, way=way, changes=known.open, words=words, note=note, by=by, at=timezone.now()
        )
    except OrderError as refusal:
        form.add_error("note" if way == "phone" else None, sentence(refusal))
        return _page(request, found, status=422, inform_form=form)
    messages.success(request, _INFORMED[way] if new else "That was on record already.")
    return redirect("order", pk)


_INFORMED = {"mail": "The mail to the customer is on its way.", "phone": "It is on record that you told them."}


@require_POST
@allow(OWNER)
def order_close_view(request: HttpRequest, pk: int) -> HttpResponse:
    """Close an order that is invoiced and paid."""
    get_object_or_404(Order, pk=pk)
    closed = order_close(order_id=pk, by=request.user.get_username(), at=timezone.now())
    messages.success(request, f"{closed.number} is closed.")
    return redirect("order", pk)


@allow(OWNER)
def order_cancel_view(request: HttpRequest, pk: int) -> HttpResponse:
    """Cancel an order; payments received are shown, and the owner decides about them."""
    found = get_object_or_404(Order.objects.select_related("customer"), pk=pk)
    money = order_money(found)
    form = CancelForm(submitted_data(request), order=found, money=money)
    if request.method == "POST" and form.is_valid():
        try:
            order_cancel(order_id=pk, **form.cleaned_data, by=request.user.get_username(), at=timezone.now())
        except OrderError as refusal:
            form.add_error(None, sentence(refusal))
        else:
            messages.success(request, f"{found.number} is cancelled.")
            return redirect("order", pk)
    return render(request, "orders/orders/cancel.html", {"order": found, "money": money, "form": form})


@require_POST
@allow(OWNER, KITCHEN)
def order_note_view(request: HttpRequest, pk: int) -> HttpResponse:
    """Change the note for the kitchen."""
    edit, by, at = _note(pk, request.POST), request.user.get_username(), timezone.now()
    if not edit.forms.is_valid():
        return _page(request, edit.record, status=422, note=edit)
    text = edit.forms.cleaned_data["note"]
    if not edit.saved(lambda version: order_note(order_id=pk, note=text, version=version, by=by, at=at)):
        return _page(request, edit.record, status=edit.status(), note=edit)
    messages.success(request, "The note is kept.")
    return redirect("order", pk)
