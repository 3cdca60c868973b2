"""The list of enquiries, a new one, changes, closing and copying."""

from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_POST, require_safe

from catalog.access import OWNER, allow
from catalog.selectors.kitchen import kitchen
from orders.forms.enquiries import CloseForm, EnquiryForm, NewEnquiryForm, initial_of, once_key
from orders.forms.typed import typed
from orders.models import Customer, Enquiry
from orders.selectors.enquiries import VIEWS, enquiries_listed
from orders.services.enquiries import enquiry_add, enquiry_change, enquiry_close, enquiry_open_again


@require_safe
@allow(OWNER)
def enquiries(request: HttpRequest) -> HttpResponse:
    """List enquiries: open by event day, waiting, ordered, past, closed."""
    show = request.GET.get("show", "open")
    show = show if show in VIEWS else "open"
    search = request.GET.get("search", "")
    page = enquiries_listed(show=show, search=search, page=request.GET.get("page", 1), at=timezone.now())
    views = [(word, name, word == show) for word, (name, _) in VIEWS.items()]
    return render(
        request,
        "orders/enquiries/list.html",
        {"page": page, "views": views, "show": show, "search": search, "sentence": VIEWS[show][1]},
    )


@allow(OWNER)
def enquiry_new(request: HttpRequest) -> HttpResponse:
    """Take an enquiry down."""
    form = _form(request, _first_values(request))
    if form.is_bound and form.is_valid():
        return _taken_down(request, form, copied_from=None)
    return render(request, "orders/enquiries/new.html", {"form": form, "known": _chosen(form), "original": None})


@allow(OWNER)
def enquiry_copy(request: HttpRequest, pk: int) -> HttpResponse:
    """Take an enquiry down that wants the same table as an older one."""
    original = get_object_or_404(Enquiry.objects.select_related("customer"), pk=pk)
    first = {
        **initial_of(original, kitchen()),
        **dict.fromkeys(("day", "allergies", "allergy_note"), None),
        "customer": original.customer_id,
        "once": once_key(),
    }
    form = _form(request, first)
    if form.is_bound and form.is_valid():
        return _taken_down(request, form, copied_from=original.pk)
    return render(request, "orders/enquiries/new.html", {"form": form, "known": _chosen(form), "original": original})


def _form(request: HttpRequest, first: dict[str, Any]) -> NewEnquiryForm:
    """Return the form: empty, sent in, or with another customer picked and everything typed kept."""
    if request.method == "POST" and "pick" not in request.POST:
        return NewEnquiryForm(request.POST, kitchen=kitchen())
    if request.method == "POST":
        typed = {name: request.POST.get(name) for name in request.POST}
        first = {**first, **typed, "allergies": request.POST.getlist("allergies"), "customer": request.POST["pick"]}
    return NewEnquiryForm(kitchen=kitchen(), initial=first)


def _taken_down(request: HttpRequest, form: NewEnquiryForm, *, copied_from: int | None) -> HttpResponse:
    known = form.cleaned_data["customer"]
    enquiry = enquiry_add(
        facts=form.facts(),
        customer=form.person(),
        customer_id=known.pk if known else None,
        once=form.cleaned_data["once"],
        copied_from_id=copied_from,
        by=request.user.get_username(),
        at=timezone.now(),
    )
    return redirect("enquiry", pk=enquiry.pk)


def _first_values(request: HttpRequest) -> dict[str, Any]:
    customer = request.GET.get("customer", "")
    known = customer.isascii() and customer.isdigit() and len(customer) < 16
    return {"once": once_key(), "customer": int(customer) if known else None}


def _chosen(form: NewEnquiryForm) -> Customer | None:
    """Return the known customer the form stands on, to show the name instead of fields."""
    value = form["customer"].value()
    if value in (None, "") or not (text := str(value)).isascii() or not text.isdigit() or len(text) > 15:
        return None
    return Customer.objects.filter(pk=int(text)).first()


@allow(OWNER)
def enquiry_edit(request: HttpRequest, pk: int) -> HttpResponse:
    """Change what was asked for."""
    enquiry = get_object_or_404(Enquiry.objects.select_related("customer"), pk=pk)
    profile = kitchen()
    form = EnquiryForm(typed(request), kitchen=profile, initial=initial_of(enquiry, profile))
    if request.method == "POST" and form.is_valid():
        enquiry_change(enquiry_id=pk, facts=form.facts(), by=request.user.get_username(), at=timezone.now())
        messages.success(request, "Changed.")
        return redirect("enquiry", pk=pk)
    sent = enquiry.quotes.exclude(sent_at=None).exists()
    return render(request, "orders/enquiries/edit.html", {"form": form, "enquiry": enquiry, "sent": sent})


@allow(OWNER)
def enquiry_close_page(request: HttpRequest, pk: int) -> HttpResponse:
    """Put an enquiry away."""
    enquiry = get_object_or_404(Enquiry.objects.select_related("customer"), pk=pk)
    form = CloseForm(typed(request))
    if request.method == "POST" and form.is_valid():
        enquiry_close(
            enquiry_id=pk, reason=form.cleaned_data["reason"], by=request.user.get_username(), at=timezone.now()
        )
        messages.success(request, f"{enquiry} is closed.")
        return redirect("enquiries")
    return render(request, "orders/enquiries/close.html", {"form": form, "enquiry": enquiry})


@require_POST
@allow(OWNER)
def enquiry_reopen(request: HttpRequest, pk: int) -> HttpResponse:
    """Take a closed enquiry up again."""
    get_object_or_404(Enquiry, pk=pk)
    enquiry_open_again(enquiry_id=pk, by=request.user.get_username(), at=timezone.now())
    return redirect("enquiry", pk=pk)
