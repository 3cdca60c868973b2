"""The inquiry page: customer and event, the draft's table below, its estimate in the margin."""

from collections.abc import Mapping
from functools import partial
from typing import Any, Final

from django.contrib import messages
from django.http import HttpRequest, HttpResponse, QueryDict
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext
from django.views.decorators.http import require_http_methods, require_safe

from catalog.kitchen.selectors import kitchen
from catalog.records.errors import CannotUndo, Overtaken
from catalog.records.presenters import sentence as catalog_sentence
from catalog.records.versions import UNSEEN
from catalog.web.access import OWNER, allow
from catalog.web.actions import sent_to
from catalog.web.edits import Edit
from catalog.web.inputs import input_problems
from catalog.web.saved_words import saved_words
from orders.inquiries.models import Inquiry
from orders.orders.models import Order
from orders.planning.presenters import beside_shown
from orders.quotes.cooling.presenters import broken_shown, never_shown, unanswered_shown, untimed_shown
from orders.quotes.cooling.remark_presenters import batch_remarks_shown
from orders.quotes.cooling.remarked import remarked, unsettled_names
from orders.quotes.cooling.selectors import RuledTable, not_judged, ruled_table
from orders.quotes.cooling.untimed import untimed
from orders.quotes.day_limits import day_over
from orders.quotes.draft.allergens import since_now
from orders.quotes.draft.allergy_presenters import allergies_shown
from orders.quotes.draft.dessert_table import DessertTable, removed_names, table_of, units_for_guests
from orders.quotes.draft.estimate import DraftEstimate, EstimatedLine, estimate_draft
from orders.quotes.draft.forms import LineForm, TableForms, products_named, with_spare_rows
from orders.quotes.draft.held_presenters import held_shown
from orders.quotes.draft.issue_presenters import CoolingShown, issues
from orders.quotes.draft.message_needs import messages_elsewhere, messages_open, messages_unread
from orders.quotes.draft.needs_before import needs_before_of
from orders.quotes.draft.presenters import ALLERGEN_CAUTION, DraftShown, draft_shown
from orders.quotes.draft.removed_rows import remember, removed_rows, rows_restore, taken_out, with_marked
from orders.quotes.draft.services import draft_override, draft_save, draft_start, rows_version, table_version
from orders.quotes.draft.terms_forms import ReasonForm
from orders.quotes.models import Quote
from orders.quotes.same_day import same_day
from orders.quotes.selectors import (
    change_requests,
    content_before,
    current_content,
    current_sent,
    inquiry_with_quotes,
    quotes_with_rows,
    rank,
    sent_figures,
    table_choices,
)
from orders.quotes.terms.selectors import dates_of
from orders.records.errors import NotADraft
from orders.records.presenters import sentence
from orders.records.states import QuoteStatus

#: The buttons that save the table, and the page of the quote each leads to; "save" stays.
_SAVES: Final = {
    "save": "",
    "next": "quote-send",
    "why": "quote-price-check",
    "what-if": "quote-price-check#what-if",
    "terms": "quote-terms",
}


@require_safe
@allow(OWNER)
def inquiry(request: HttpRequest, pk: int) -> HttpResponse:
    """Show the inquiry page; if there is a draft, its table can be edited."""
    get_object_or_404(Inquiry, pk=pk)
    found = inquiry_with_quotes(pk)
    draft = next((quote for quote in found.revisions if quote.status == QuoteStatus.DRAFT), None)  # type: ignore[attr-defined]  # prefetched
    if draft is None:
        current = current_sent(found)
        figures = sent_figures(current) if current is not None else None
        context = {"content": current_content(found), "current": current, "figures": figures}
    else:
        edit = _edit(draft.pk, found.pk)
        context = {**_estimated(edit.record, edit.forms, saved=True), **_table(edit)}
    return render(request, "orders/quotes/draft/inquiry.html", context | _about(found))


def _about(found: Inquiry) -> dict[str, Any]:
    """Return what the page shows besides the draft: the inquiry, changes asked for, other events of its day."""
    day = timezone.localtime(found.window_start).date()
    return {
        "inquiry": found,
        **_messages(found),
        **_since_sent(found),
        **_ordered(found),
        "same_day": same_day(day, besides=found.pk),
    }


def _messages(found: Inquiry) -> dict[str, Any]:
    """Return what the customer wrote: what waits for an answer, what nobody has read, what is about another quote."""
    open_ = messages_open([found]).get(found.pk, ())
    asked, others = change_requests(found), messages_elsewhere([found]).get(found.pk, ())
    unread = [one for one in messages_unread(found, open_) if one not in asked]
    before = None if found.closed_at else needs_before_of(found)
    wrote = {one.message for one in open_}
    held = held_shown([*asked, *unread])
    wrote |= {one.message.pk for one in held}
    asked, unread = ([one for one in some if one.pk not in wrote] for some in (asked, unread))
    found_here = {"held": held, "change_requests": asked, "messages_open": open_, "unread": unread}
    return {**found_here, "elsewhere": others, "before": before}


def _since_sent(found: Inquiry) -> dict[str, Any]:
    """Return what of allergies is not in the quote that waits or was approved; while a draft is made it answers it."""
    revisions: list[Quote] = found.revisions  # type: ignore[attr-defined]  # prefetched
    alive = [one for one in revisions if one.status in (QuoteStatus.SENT, QuoteStatus.APPROVED)]
    if not alive or found.closed_at is not None or any(one.status == QuoteStatus.DRAFT for one in revisions):
        return {}
    quote, content = max(alive, key=rank), current_content(found)
    return {"sent_quote": quote, "since": since_now([(content, found)])[0] if content else None}


def _ordered(found: Inquiry) -> dict[str, Any]:
    """Return the order of the inquiry, where there is one, and the draft of its quote that was left over."""
    revisions: list[Quote] = found.revisions  # type: ignore[attr-defined]  # prefetched
    approved = {one.number for one in revisions if one.status == QuoteStatus.APPROVED}
    if not approved:
        return {}
    order = Order.objects.filter(quote__inquiry=found).select_related("quote").order_by("-pk").first()
    drafts = [one for one in revisions if one.status == QuoteStatus.DRAFT and one.number in approved]
    return {
        "order": order,
        "left_over": next((one for one in drafts if one.amends_id is None), None),
        "amending": next((one for one in drafts if one.amends_id is not None), None),
    }


@require_http_methods(["GET", "HEAD", "POST"])
@allow(OWNER)
def quote_draft(request: HttpRequest, pk: int) -> HttpResponse:
    """Estimate the table as entered, split the pieces by percentage, or save it.

    The address stands in the browser after a split: opened again, it leads to the page of the draft.
    """
    quote = get_object_or_404(quotes_with_rows(), pk=pk)
    if request.method != "POST":
        return redirect("inquiry", pk=quote.inquiry_id)
    do, live = request.POST.get("do", "estimate"), "HX-Request" in request.headers
    data = _written(quote, request.POST, do, live=live)
    if live:
        forms = _forms(quote, data, live=True)
        done = do == "split" and forms.check_split()
        context = _estimated(quote, forms, saved=False) | {"split": do == "split", "split_done": done}
        return render(request, "orders/quotes/draft/estimate.html", context)
    edit = _edit(pk, quote.inquiry_id, data)
    done = do == "split" and edit.forms.check_split()
    saving = do in _SAVES and edit.forms.is_valid() and edit.forms.all_counted()
    before, names = table_of(edit.record), _product_names(edit.record)
    saved = edit.saved(partial(_save, request, edit.forms, pk)) if saving else None
    if saved:
        before = with_marked(before, edit.forms.removed())
        names = {code: product.name for code, product in edit.forms.products.items()} | names
        return _saved(request, saved, before, edit.forms.table(), names, _SAVES[do])
    context = _estimated(edit.record, edit.forms, saved=False) | _table(edit)
    context |= _about(inquiry_with_quotes(quote.inquiry_id)) | {"split_done": done}
    return render(request, "orders/quotes/draft/inquiry.html", context, status=edit.status())


def _written(quote: Quote, data: QueryDict, do: str, *, live: bool) -> QueryDict:
    """Return the submitted data, with units computed from guests, pieces and shares where requested."""
    if do == "split" or do in _SAVES:
        data = _split(quote, data, everywhere=do == "split", live=live)
    return with_spare_rows(data) if do in ("split", "estimate") and not live else data


def _split(quote: Quote, data: QueryDict, *, everywhere: bool, live: bool) -> QueryDict:
    """Compute units from guests, pieces and shares: in all rows with a share, or only in those without units."""
    filled = data.copy()
    for row in _forms(quote, data, live=live).lines if everywhere else ():
        if row["share"].data:
            filled[row.add_prefix("units")] = ""
    forms = _forms(quote, filled, live=live)
    table = forms.table()
    if any(forms.lines.errors):
        # A row that cannot be read has its share of the pieces too.
        return data
    units = units_for_guests(table, forms.products, *forms.guests())
    for row in forms.lines:
        line = row.line()
        if line is not None and line.code in units and (everywhere or not line.units):
            filled[row.add_prefix("units")] = str(units[line.code])
    return filled


def _edit(pk: int, inquiry_id: int, data: QueryDict | None = None) -> Edit[Quote, TableForms]:
    return Edit(
        data=data,
        load=lambda: get_object_or_404(quotes_with_rows(), pk=pk),
        forms=_forms,
        version_of=table_version,
        page=reverse("inquiry", args=[inquiry_id]),
    )


def _save(request: HttpRequest, forms: TableForms, pk: int, version: str) -> Quote:
    guests, pieces = forms.guests()
    return draft_save(
        quote_id=pk,
        table=forms.table(),
        guests=guests,
        pieces_per_guest=pieces,
        version=version,
        by=request.user.get_username(),
        at=timezone.now(),
    )


def _product_names(quote: Quote) -> dict[str, str]:
    return {line.product.code: line.product.name for line in quote.lines.all()}


def _saved(
    request: HttpRequest, quote: Quote, before: DessertTable, after: DessertTable, names: Mapping[str, str], to: str
) -> HttpResponse:
    """Say that a table was saved, and which rows it lost, with a button that brings them back."""
    if removed := removed_names(before, after, names):
        rows, undo = removed_rows(before, after), ""
        if any(rows.values()):
            undo = reverse("quote-rows-back", args=[quote.pk, remember(request.session, quote.pk, rows)])
        words = gettext("Removed: %(names)s.") % {"names": "; ".join(removed)}
        messages.success(request, f"{saved_words()} {words}", extra_tags=undo)
    elif not to:
        messages.success(request, saved_words())
    page, _, part = to.partition("#")
    address = reverse(page, args=[quote.pk]) if page else reverse("inquiry", args=[quote.inquiry_id])
    return redirect(f"{address}#{part}" if part else address)


@require_http_methods(["GET", "HEAD", "POST"])
@allow(OWNER)
def quote_rows_back(request: HttpRequest, pk: int, key: str) -> HttpResponse:
    """Bring back rows that were removed from a draft in this session."""
    quote = get_object_or_404(Quote, pk=pk)
    rows = taken_out(request.session, pk, key) if request.method == "POST" else None
    if rows is not None:
        try:
            rows_restore(quote_id=pk, rows=rows, by=request.user.get_username(), at=timezone.now())
        except NotADraft as refusal:
            messages.error(request, sentence(refusal))
        except (CannotUndo, Overtaken):
            messages.error(request, catalog_sentence(CannotUndo()))
        else:
            messages.success(request, gettext("The removed rows are restored."))
    elif request.method == "POST":
        messages.error(request, catalog_sentence(CannotUndo()))
    return redirect("inquiry", pk=quote.inquiry_id)


def _forms(quote: Quote, data: QueryDict | None, *, live: bool = False) -> TableForms:
    # A live answer has no list of products to choose from.
    choices = table_choices(quote, named=products_named(data) if live and data is not None else None)
    return TableForms(
        products=choices.products,
        taxes=choices.taxes,
        currency=quote.currency,
        data=data,
        shown=table_of(quote),
        guests=quote.inquiry.guests,
        pieces_per_guest=quote.inquiry.pieces_per_guest,
    )


def _estimated(quote: Quote, forms: TableForms, *, saved: bool) -> dict[str, Any]:
    """Return the estimate shown in the margin: of the saved table, or of the one entered."""
    if saved:
        table, (guests, pieces) = table_of(quote), (quote.inquiry.guests, quote.inquiry.pieces_per_guest)
    else:
        table, (guests, pieces) = forms.table(), forms.guests()
    profile, now, units = kitchen(), timezone.now(), units_for_guests(table, forms.products, guests, pieces)
    missing = [] if saved else forms.left_out(units)
    found = estimate_draft(
        # A row that cannot be read has its share of the pieces too: what is split without it would be wrong.
        table.with_units(units if saved or not any(forms.lines.errors) else {}),
        inquiry=quote.inquiry,
        kitchen=profile,
        now=now,
        guests=guests,
        pieces_per_guest=pieces,
    )
    found = found.without_whole() if missing else found
    whole = None if missing or found.estimate is None else found.estimate.totals
    ruled = _ruled(quote, found)
    cooling = _cooling(found, ruled)
    shown = draft_shown(found, quote.inquiry, unsettled=unsettled_names(ruled))
    left_out = () if saved else (*input_problems(*forms), *forms.uncounted(units))
    numbers = {row["units"].auto_id: row.nearest for row in forms.lines if row.nearest}
    return {
        "quote": quote,
        "inquiry": quote.inquiry,
        "saved": saved,
        "guests": guests,
        "totals": whole,
        "left_out": len(missing),
        "per_guest": whole.total / guests if whole and guests else None,
        "rush_rate": profile.rush_rate,
        "draft_estimate": found,
        "shown": shown,
        "allergies": allergies_shown(found.needs),
        "issues": issues(
            found,
            shown,
            cooling,
            quote=quote,
            not_counted=left_out,
            numbers=numbers,
            day_over=day_over(quote.inquiry, profile, guests=guests),
            dates=dates_of(quote, profile, at=now, begins=found.begins),
            before=content_before(quote),
        ),
        "sure": not (cooling.stops or shown.rules_broken),
        "untimed": cooling.untimed,
        "caution": ALLERGEN_CAUTION,
        "rows": _rows(forms, found, shown),
    }


def _ruled(quote: Quote, found: DraftEstimate) -> RuledTable:
    """Return what of the estimated table breaks the cooling rule, with what is recorded to be measured instead."""
    if found.book is None or found.estimate is None:
        return RuledTable(quote, ())
    return ruled_table(quote, {line.product: line.units for line in found.estimate.lines}, found.book)


def _cooling(found: DraftEstimate, ruled: RuledTable) -> CoolingShown:
    """Return what of the estimated table is the matter with its cooling."""
    if found.book is None or found.estimate is None:
        return CoolingShown()
    book, units = found.book, {line.product: line.units for line in found.estimate.lines}
    return CoolingShown(
        measured=broken_shown(ruled),
        not_judged=unanswered_shown(not_judged(units, book)),
        untimed=untimed_shown(untimed(units, book)),
        never=never_shown(ruled),
        remarks=batch_remarks_shown(remarked(units, book)),
    )


def _rows(
    forms: TableForms, found: DraftEstimate, shown: DraftShown
) -> list[tuple[LineForm, EstimatedLine | None, list[str]]]:
    """Pair each row of the table's form with the estimate of its product and its problems."""
    by_code, rows = found.by_code, []
    for row in forms.lines:
        code = row.chosen.code if row.chosen else ""
        problems = [problem.sentence for problem in shown.problems if code and problem.product == code]
        rows.append((row, by_code.get(code), problems))
    return rows


def _table(edit: Edit[Quote, TableForms]) -> dict[str, Any]:
    """Return the page's context besides the estimate: the forms, and the version of the saved table."""
    beside = beside_shown(edit.record, timezone.now())
    return {"forms": edit.forms, "edit": edit, "rows_version": rows_version(edit.record), "beside": beside}


@sent_to("inquiry")
@allow(OWNER)
def quote_start(request: HttpRequest, pk: int) -> HttpResponse:
    """Create another quote for an inquiry."""
    get_object_or_404(Inquiry, pk=pk)
    draft_start(inquiry_id=pk, by=request.user.get_username(), at=timezone.now())
    return redirect("inquiry", pk=pk)


@sent_to("quote-send")
@allow(OWNER)
def quote_override(request: HttpRequest, pk: int) -> HttpResponse:
    """Record why the quote may go below the floor margin."""
    quote = _draft_or_404(pk)
    form = ReasonForm(request.POST)
    if form.is_valid():
        reason, version = form.cleaned_data["reason"], request.POST.get("version", "") or UNSEEN
        by = request.user.get_username()
        draft_override(quote_id=pk, reason=reason, version=version, by=by, at=timezone.now())
        messages.success(request, gettext("Reason saved."))
    else:
        messages.error(request, str(form.errors["reason"][0]))
    return redirect("quote-send", pk=quote.pk)


def _draft_or_404(pk: int) -> Quote:
    """Return a quote with its inquiry and customer."""
    return get_object_or_404(Quote.objects.select_related("inquiry__customer"), pk=pk)
