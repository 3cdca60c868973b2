"""The inquiry sheet: the people and the day, the table composed below, what it comes to in the margin."""

from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse, QueryDict
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_POST, require_safe

from catalog.kitchen.selectors import kitchen
from catalog.web.access import OWNER, allow
from catalog.web.form_data import submitted_data
from orders.inquiries.models import Inquiry
from orders.inquiries.selectors import inquiry_full, standing_offer
from orders.quotes.draft.allergens import CAUTION
from orders.quotes.draft.briefs import table_of
from orders.quotes.draft.cooling_words import cold_notes_shown
from orders.quotes.draft.estimate import DraftEstimate, estimate_draft, rounding_words
from orders.quotes.draft.forms import TableForms, offered, with_spare_rows
from orders.quotes.draft.portions import spread_units
from orders.quotes.draft.services import draft_keep, draft_override, draft_start, draft_terms
from orders.quotes.draft.terms_forms import ReasonForm, TermsForm
from orders.quotes.draft.window_words import window_shown
from orders.quotes.models import Quote
from orders.quotes.price_check.selectors import made_of
from orders.quotes.selectors import draft_full
from orders.records.errors import TableChanged
from orders.records.states import QuoteStatus


@require_safe
@allow(OWNER)
def inquiry(request: HttpRequest, pk: int) -> HttpResponse:
    """Show the inquiry sheet; with a draft at hand its table can be composed."""
    get_object_or_404(Inquiry, pk=pk)
    found = inquiry_full(pk)
    draft = next((quote for quote in found.revisions if quote.status == QuoteStatus.DRAFT), None)  # type: ignore[attr-defined]  # prefetched
    context: dict[str, Any] = {"inquiry": found, "caution": CAUTION}
    if draft is not None:
        quote = draft_full(draft.pk)
        context |= _composed(quote, _forms(quote, None), kept=True)
    else:
        context["offer"] = standing_offer(found)
    return render(request, "orders/quotes/draft/sheet.html", context)


@require_POST
@allow(OWNER)
def quote_draft(request: HttpRequest, pk: int) -> HttpResponse:
    """Work out the table as typed, spread the pieces over it, or keep it."""
    get_object_or_404(Quote, pk=pk)
    quote = draft_full(pk)
    data: QueryDict = request.POST
    do = request.POST.get("do", "look")
    live = "HX-Request" in request.headers
    if do in ("spread", "keep", "next"):
        data = _spread(quote, data, everywhere=do == "spread")
    if do in ("spread", "look") and not live:
        data = with_spare_rows(data)
    forms = _forms(quote, data)
    keep = do in ("keep", "next") and forms.is_valid() and forms.all_counted()
    if keep and (kept := _kept(request, quote, forms, next_page="quote-send" if do == "next" else "")):
        return kept
    context = _posted(request, quote, forms, overtaken=keep)
    page = "estimate" if live else "sheet"
    return render(request, f"orders/quotes/draft/{page}.html", context)


def _posted(request: HttpRequest, quote: Quote, forms: TableForms, *, overtaken: bool) -> dict[str, Any]:
    """Return what the sheet shows of a table that is not kept; one overtaken may be kept over what stands now."""
    context = {"inquiry": inquiry_full(quote.inquiry_id), "caution": CAUTION, **_composed(quote, forms, kept=False)}
    if not overtaken:
        context["seen"] = request.POST.get("seen", "")
    return context | {"overtaken": overtaken}


def _kept(request: HttpRequest, quote: Quote, forms: TableForms, *, next_page: str) -> HttpResponse | None:
    """Keep the table and go on; nothing is kept, and None comes back, when another window kept one meanwhile."""
    guests, pieces = forms.guests()
    try:
        draft_keep(
            quote_id=quote.pk,
            table=forms.table(),
            guests=guests,
            pieces_per_guest=pieces,
            seen=request.POST.get("seen", ""),
            by=request.user.get_username(),
            at=timezone.now(),
        )
    except TableChanged:
        return None
    if next_page:
        return redirect(next_page, pk=quote.pk)
    messages.success(request, "Kept.")
    return redirect("inquiry", pk=quote.inquiry_id)


def _forms(quote: Quote, data: QueryDict | None) -> TableForms:
    products, taxes = offered(quote)
    return TableForms(
        products=products,
        taxes=taxes,
        currency=quote.currency,
        data=data,
        shown=table_of(quote),
        guests=quote.inquiry.guests,
        pieces_per_guest=quote.inquiry.pieces_per_guest,
    )


def _spread(quote: Quote, data: QueryDict, *, everywhere: bool) -> QueryDict:
    """Fill in how many from guests, pieces and shares: in every row with a share, or only where none is given."""
    forms = _forms(quote, data)
    table = forms.table()
    counts = spread_units(table, forms.products, *forms.guests())
    filled = data.copy()
    for row in forms.lines:
        line = row.line()
        if line is not None and line.code in counts and (everywhere or not line.units):
            filled[row.add_prefix("units")] = str(counts[line.code])
    return filled


def _composed(quote: Quote, forms: TableForms, *, kept: bool) -> dict[str, Any]:
    """Return what the sheet shows of a draft: forms, and what their table comes to."""
    if kept:
        table, (guests, pieces) = table_of(quote), (quote.inquiry.guests, quote.inquiry.pieces_per_guest)
    else:
        table, (guests, pieces) = forms.table(), forms.guests()
    profile = kitchen()
    counted = spread_units(table, forms.products, guests, pieces)
    table = table.with_counts(counted)
    draft_estimate = estimate_draft(
        table,
        inquiry=quote.inquiry,
        kitchen=profile,
        now=timezone.now(),
        guests=guests,
        pieces_per_guest=pieces,
    )
    return {
        "quote": quote,
        "forms": forms,
        "rows": _rows(forms, draft_estimate),
        "draft_estimate": draft_estimate,
        "window": window_shown(draft_estimate.window),
        "cold_notes": cold_notes_shown(draft_estimate.cold),
        "rounding": rounding_words(draft_estimate),
        "picture": made_of(draft_estimate.lines, draft_estimate.currency) if draft_estimate.lines else "",
        "kept": kept,
        "seen": table_of(quote).mark,
        "rush_rate": profile.rush_rate,
    }


def _rows(forms: TableForms, draft_estimate: DraftEstimate) -> list[tuple[Any, Any, list[str]]]:
    """Pair each row of the form with what was computed for its product and what is in its way."""
    by_code = draft_estimate.by_code
    rows = []
    for row in forms.lines:
        code = row.chosen.code if row.chosen else ""
        beside = [problem.sentence for problem in draft_estimate.problems if code and problem.product == code]
        rows.append((row, by_code.get(code), beside))
    return rows


@require_POST
@allow(OWNER)
def quote_start(request: HttpRequest, pk: int) -> HttpResponse:
    """Begin another quote for an inquiry."""
    get_object_or_404(Inquiry, pk=pk)
    draft_start(inquiry_id=pk, by=request.user.get_username(), at=timezone.now())
    return redirect("inquiry", pk=pk)


@allow(OWNER)
def quote_terms(request: HttpRequest, pk: int) -> HttpResponse:
    """Set validity, deposit, final count, cancellation and the note to the customer."""
    quote = _draft_or_404(pk)
    form = TermsForm(submitted_data(request), kitchen=kitchen(), quote=quote, now=timezone.now())
    if request.method == "POST" and form.is_valid():
        draft_terms(quote_id=pk, terms=form.terms(), by=request.user.get_username(), at=timezone.now())
        messages.success(request, "Kept.")
        return redirect("quote-send", pk=pk)
    return render(request, "orders/quotes/draft/terms.html", {"quote": quote, "form": form})


@require_POST
@allow(OWNER)
def quote_override(request: HttpRequest, pk: int) -> HttpResponse:
    """Record why the quote may go below the floor margin."""
    quote = _draft_or_404(pk)
    form = ReasonForm(request.POST)
    if form.is_valid():
        reason = form.cleaned_data["reason"]
        draft_override(quote_id=pk, reason=reason, by=request.user.get_username(), at=timezone.now())
        messages.success(request, "Your reason is on record.")
    else:
        messages.error(request, str(form.errors["reason"][0]))
    return redirect("quote-send", pk=quote.pk)


def _draft_or_404(pk: int) -> Quote:
    """Return a quote with its inquiry and customer."""
    return get_object_or_404(Quote.objects.select_related("inquiry__customer"), pk=pk)
