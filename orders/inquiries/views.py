"""The list of inquiries, a new one, changes, closing and copying."""

from collections.abc import Mapping
from functools import partial
from typing import Any

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse, QueryDict
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext
from django.views.decorators.http import require_safe

from catalog.kitchen.selectors import kitchen
from catalog.web import display
from catalog.web.access import OWNER, allow
from catalog.web.actions import sent_to
from catalog.web.edits import Edit
from catalog.web.form_data import new_idempotency_key, submitted_data
from catalog.web.pages import query_without_page
from catalog.web.saved_words import saved_words
from catalog.web.sorting import sorting
from orders.documents.need_words import note_shown
from orders.inquiries.forms import CloseForm, InquiryForm, NewInquiryForm, initial_of
from orders.inquiries.models import Customer, Inquiry
from orders.inquiries.presenters import INQUIRY_SORTS, lists_shown, number_words
from orders.inquiries.selectors import (
    SHOWS,
    cleaned,
    inquiries_listed,
    is_known,
    needs_before,
    order_standing,
)
from orders.inquiries.services import (
    inquiry_add,
    inquiry_change,
    inquiry_close,
    inquiry_reopen,
    inquiry_version,
    note_settled,
)
from orders.quotes.draft.message_needs import messages_elsewhere, messages_open, messages_unread
from orders.quotes.draft.needs_before import needs_before_of
from orders.quotes.draft.note_needs import (
    WordsOpen,
    counts_unclear,
    missing_counted,
    note_changes,
    note_open,
    order_note_open,
    words_open,
)
from orders.quotes.same_day import SameDay, same_day


@require_safe
@allow(OWNER)
def inquiries(request: HttpRequest) -> HttpResponse:
    """List inquiries: open by event day, waiting, ordered, past, closed; a search looks in all of them."""
    show = request.GET.get("show", "open")
    show = show if show in SHOWS else "open"
    search = request.GET.get("search", "")
    order, number = sorting(request, INQUIRY_SORTS), request.GET.get("page", 1)
    page = inquiries_listed(show=show, search=search, page=number, at=timezone.now(), sort=order["sort"])
    # Searching looks in all lists: none of them is the one that is open.
    lists = lists_shown("" if cleaned(search) else show)
    context = {"page": page, "lists": lists, "show": show, "search": search}
    context |= order | {"list_query": query_without_page(request)}
    return render(request, "orders/inquiries/list.html", context)


@require_safe
@allow(OWNER)
def inquiry_same_day(request: HttpRequest) -> HttpResponse:
    """Name the other events of a day while its date is typed."""
    form = InquiryForm({"day": request.GET.get("day", "")}, kitchen=kitchen())
    besides = request.GET.get("besides", "")
    known = besides.isascii() and besides.isdigit() and len(besides) < 16
    context = {"same_day": _same_day(form, int(besides) if known else None)}
    return render(request, "orders/inquiries/same_day.html", context)


def _same_day(form: InquiryForm, besides: int | None = None) -> SameDay | None:
    """Return the other events of the day that a form shows; None while it shows none."""
    field = form["day"]
    try:
        day = field.field.clean(field.value() or "")
    except ValidationError:
        return None
    return same_day(day, besides=besides)


@allow(OWNER)
def inquiry_new(request: HttpRequest) -> HttpResponse:
    """Add an inquiry."""
    form = _form(request, _first_values(request))
    if form.is_bound and _sound(form):
        return _added(request, form, copied_from=None)
    return render(request, "orders/inquiries/new.html", _shown(form, original=None))


@allow(OWNER)
def inquiry_copy(request: HttpRequest, pk: int) -> HttpResponse:
    """Add an inquiry with the table of an older one."""
    original = get_object_or_404(Inquiry.objects.select_related("customer"), pk=pk)
    first = {
        **initial_of(original, kitchen()),
        **dict.fromkeys(("day", "allergies", "need_counts", "allergy_note", "asked_none"), None),
        "customer": original.customer_id,
        "idempotency_key": new_idempotency_key(),
    }
    form = _form(request, first)
    if form.is_bound and _sound(form):
        return _added(request, form, copied_from=original.pk)
    return render(request, "orders/inquiries/new.html", _shown(form, original=original))


def _shown(form: NewInquiryForm, *, original: Inquiry | None) -> dict[str, Any]:
    known = _chosen(form)
    before = needs_before(known, original) if known else None
    context = {"form": form, "known": known, "original": original, "same_day": _same_day(form), "before": before}
    return context | {"take_needs": "take_needs" in form.data}


def _form(request: HttpRequest, first: dict[str, Any]) -> NewInquiryForm:
    """Return the form: empty, as submitted, or with another customer chosen and everything else as entered."""
    if request.method == "POST" and "pick" not in request.POST:
        return NewInquiryForm(_with_needs(request.POST), kitchen=kitchen())
    if request.method == "POST":
        written = {name: request.POST.get(name) for name in request.POST}
        first = {**first, **written, "allergies": request.POST.getlist("allergies"), "customer": request.POST["pick"]}
    return NewInquiryForm(kitchen=kitchen(), initial=first)


def _with_needs(data: QueryDict) -> QueryDict:
    """Return submitted data with the needs of an earlier inquiry, where that is ticked."""
    ticked = str(data.get("take_needs", ""))
    before = Inquiry.objects.filter(pk=int(ticked)).first() if _is_key(ticked) else None
    if before is None:
        return data
    merged = data.copy()
    merged.setlist("allergies", list(dict.fromkeys([*data.getlist("allergies"), *before.allergies])))
    for code in before.allergies:
        merged[f"guests-{code}"] = data.get(f"guests-{code}") or str(before.need_counts.get(code, "") or "")
    merged["allergy_note"] = data.get("allergy_note", "").strip() or before.allergy_note
    merged.pop("asked_none", None)
    return merged


def _is_key(text: str) -> bool:
    return text.isascii() and text.isdigit() and len(text) < 16


def _sound(form: NewInquiryForm) -> bool:
    """Check the form; of a new customer, ask about a near name, unless the e-mail address says who it is."""
    if not form.is_valid():
        return False
    values = form.cleaned_data
    if not values["customer"] and not is_known(email=values["email"], idempotency_key=values["idempotency_key"]):
        form.ask_near(Customer, page="customer")
    return not form.errors


def _added(request: HttpRequest, form: NewInquiryForm, *, copied_from: int | None) -> HttpResponse:
    known = form.cleaned_data["customer"]
    inquiry = inquiry_add(
        data=form.inquiry_data(),
        customer=form.customer_data(),
        customer_id=known.pk if known else None,
        idempotency_key=form.cleaned_data["idempotency_key"],
        copied_from_id=copied_from,
        by=request.user.get_username(),
        at=timezone.now(),
    )
    # The message stands beside what is entered after it.
    note, now = note_shown(note_open(inquiry)), {"time": display.clock(timezone.now())}
    if note is None or not note.needs:
        messages.success(request, gettext("Inquiry saved at %(time)s. Next, choose the products of its quote.") % now)
        return redirect("inquiry", pk=inquiry.pk)
    left = gettext("Inquiry saved at %(time)s. One thing is left: the needs that its allergy notes name.")
    messages.success(request, left % now)
    return redirect(f"{reverse('inquiry-edit', args=[inquiry.pk])}?needs=note#id_allergies")


def _first_values(request: HttpRequest) -> dict[str, Any]:
    customer = request.GET.get("customer", "")
    known = _is_key(customer)
    return {"idempotency_key": new_idempotency_key(), "customer": int(customer) if known else None}


def _chosen(form: NewInquiryForm) -> Customer | None:
    """Return the known customer chosen in the form, to show the name instead of fields."""
    value = form["customer"].value()
    if value in (None, "") or not (text := str(value)).isascii() or not text.isdigit() or len(text) > 15:
        return None
    return Customer.objects.filter(pk=int(text)).first()


@allow(OWNER)
def inquiry_edit(request: HttpRequest, pk: int) -> HttpResponse:
    """Change an inquiry."""
    edit = Edit(
        data=submitted_data(request),
        load=lambda: get_object_or_404(Inquiry.objects.select_related("customer"), pk=pk),
        forms=partial(_edit_form, offered=request.GET.get("needs", "")),
        version_of=inquiry_version,
        page=request.path,
    )
    form, by, at = edit.forms, request.user.get_username(), timezone.now()
    if form.is_bound and form.is_valid():
        save = partial(inquiry_change, inquiry_id=pk, data=form.inquiry_data(), by=by, at=at)
        save = partial(save, taken_off=form.taken_off())
        if edit.saved(lambda version: save(version=version)):
            ended = form.initial.get("asked_none") and form.cleaned_data["allergies"]
            more = gettext("Allergies or diets are named now, so the note that none were named is gone.")
            messages.success(request, " ".join([saved_words(), *([more] if ended else [])]))
            return redirect("inquiry", pk=pk)
    sent = edit.record.quotes.exclude(sent_at=None).exists()
    note = note_shown(note_open(edit.record))
    context = {"form": edit.forms, "edit": edit, "inquiry": edit.record, "sent": sent, "note": note}
    context["messages_open"] = wrote = messages_open([edit.record]).get(edit.record.pk, ())
    missing = _missing(edit.record, request.GET.get("needs", ""))
    notes = (edit.record.allergy_note, *(one.text for one in _words_open(edit.record)))
    noted = [one for words in notes for one in note_changes(words, edit.record)]
    context["elsewhere"] = elsewhere = messages_elsewhere([edit.record]).get(edit.record.pk, ())
    unclear = counts_unclear([*notes, *(one.text for one in (*wrote, *elsewhere))], edit.record.guests)
    edit.forms.of_numbers = number_words(
        wrote,
        edit.record.need_counts,
        missing,
        noted,
        which=edit.forms.kitchen.allergen_list,
        unclear=unclear,
    )
    context["before"] = needs_before_of(edit.record)
    context["offered"] = offered = request.GET.get("needs") == "note"
    context["words_open"] = _words_open(edit.record) if offered else ()
    context["same_day"] = _same_day(edit.forms, pk)
    return render(request, "orders/inquiries/edit.html", context, status=edit.status())


def _edit_form(inquiry: Inquiry, data: QueryDict | None, *, offered: str = "") -> InquiryForm:
    """Return the form with the needs ticked that are ``offered``, to be looked at and saved.

    ``note`` are those that its words and messages name, ``before`` those of last time.
    """
    profile = kitchen()
    first = dict(initial_of(inquiry, profile))
    missing = _missing(inquiry, offered)
    if missing:
        counts = inquiry.need_counts
        # A number that is recorded stays: words beside it may be more of them or all, and somebody enters which.
        named = {code: count for code, count in missing.items() if count is not None and not counts.get(code)}
        first |= {"allergies": [*dict.fromkeys([*inquiry.allergies, *missing])], "need_counts": {**counts, **named}}
        first["asked_none"] = False
    ordered = inquiry.allergies if order_standing(inquiry) else ()
    return InquiryForm(data, kitchen=profile, initial=first, ordered=ordered, settled=note_settled(inquiry))


def _words_open(inquiry: Inquiry) -> tuple[WordsOpen, ...]:
    """Return the words of an inquiry that may name a need it lacks, its order's note for the kitchen among them."""
    order = order_standing(inquiry)
    note = order_note_open(order.note, inquiry) if order is not None else None
    return (*words_open(inquiry), *((note,) if note is not None else ()))


def _missing(inquiry: Inquiry, offered: str) -> dict[str, int | None]:
    """Return the needs that its note, its other words and unanswered messages name and the inquiry does not have.

    Those of which it has fewer guests are among them.
    """
    if offered == "before":
        before = needs_before_of(inquiry)
        return dict(before.missing) if before else {}
    if offered != "note":
        return {}
    found: dict[str, int | None] = {}
    _most(found, missing_counted(inquiry.allergy_note, inquiry))
    wrote, others = messages_open([inquiry]).get(inquiry.pk, ()), messages_elsewhere([inquiry]).get(inquiry.pk, ())
    for words in _words_open(inquiry):
        _most(found, words.missing)
    for one in (*wrote, *others):
        _most(found, {**one.missing, **one.lacking})
    for unread in messages_unread(inquiry, wrote):
        _most(found, missing_counted(unread.text, inquiry))
    return found


def _most(found: dict[str, int | None], more: Mapping[str, int | None]) -> None:
    """Add needs to those that were found; of two numbers of guests the greater one stays."""
    for code, count in more.items():
        found[code] = max(count or 0, found.get(code) or 0) or None


@allow(OWNER)
def inquiry_close_page(request: HttpRequest, pk: int) -> HttpResponse:
    """Close an inquiry."""
    inquiry = get_object_or_404(Inquiry.objects.select_related("customer"), pk=pk)
    form = CloseForm(submitted_data(request))
    if request.method == "POST" and form.is_valid():
        inquiry_close(
            inquiry_id=pk, reason=form.cleaned_data["reason"], by=request.user.get_username(), at=timezone.now()
        )
        messages.success(request, gettext("%(inquiry)s is closed.") % {"inquiry": inquiry})
        return redirect("inquiries")
    return render(request, "orders/inquiries/close.html", {"form": form, "inquiry": inquiry})


@sent_to("inquiry")
@allow(OWNER)
def inquiry_reopen_view(request: HttpRequest, pk: int) -> HttpResponse:
    """Open a closed inquiry again."""
    get_object_or_404(Inquiry, pk=pk)
    inquiry_reopen(inquiry_id=pk, by=request.user.get_username(), at=timezone.now())
    return redirect("inquiry", pk=pk)
