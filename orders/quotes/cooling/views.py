"""The page on which the owner records what is measured instead of a cooling rule."""

from functools import partial

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext

from catalog.web.access import OWNER, allow
from catalog.web.edits import Edit
from catalog.web.form_data import submitted_data
from orders.quotes.cooling.forms import OverrideForms, together_form
from orders.quotes.cooling.never_hot import unanswered_steps
from orders.quotes.cooling.presenters import broken_shown, never_shown
from orders.quotes.cooling.reading_times import reading_times
from orders.quotes.cooling.selectors import RuledTable, overrides_version, ruled_for_approval, table_units
from orders.quotes.cooling.services import cooling_overrides_record
from orders.quotes.cooling.shared import SharedBatch, shared_batches
from orders.quotes.cooling.shared_presenters import shared_shown
from orders.quotes.cooling.step_presenters import step_sentences
from orders.quotes.models import Quote
from orders.records.states import QUOTES_ALIVE, QuoteStatus


@allow(OWNER)
def quote_cooling(request: HttpRequest, pk: int) -> HttpResponse:
    """Show what of a quote breaks the cooling rule, and record what is measured instead."""
    edit = Edit(
        data=submitted_data(request),
        load=lambda: _ruled(pk),
        forms=OverrideForms,
        version_of=overrides_version,
        page=request.path,
    )
    quote = edit.record.quote
    shared = _shared(edit.record)
    together = together_form(submitted_data(request), shared)
    if request.method == "POST" and all([edit.forms.is_valid(), together.is_valid()]):
        save = partial(cooling_overrides_record, quote_id=pk, by=request.user.get_username(), at=timezone.now())
        save = partial(save, together=together.measuring())
        if edit.saved(lambda version: save(overrides=edit.forms.overrides(), version=version)):
            messages.success(request, gettext("Saved."))
            return redirect(_back(quote))
    times = reading_times(edit.record, quote.inquiry, timezone.now())
    context = {"quote": quote, "edit": edit, "rows": broken_shown(edit.record, edit.forms.forms, times)}
    context["never"] = never_shown(edit.record)
    context["steps"] = _steps(edit.record)
    context["forms"] = [*edit.forms, together]
    context |= {"shared": shared_shown(shared), "together": together}
    context["together_asked"] = not together.empty_permitted
    context["back"] = _back(quote)
    return render(request, "orders/quotes/cooling/cooling.html", context, status=edit.status())


def _back(quote: Quote) -> str:
    """Return the address of the page this one was needed for: to send the quote, its order, or the quote."""
    if quote.status == QuoteStatus.DRAFT:
        return reverse("quote-send", args=[quote.pk])
    if quote.status == QuoteStatus.APPROVED:
        return reverse("order", args=[quote.order.pk])
    return reverse("quote", args=[quote.pk])


def _shared(found: RuledTable) -> tuple[SharedBatch, ...]:
    """Return what it breaks only together with promised orders; an approved one is asked by its order."""
    if found.book is None or found.quote.status == QuoteStatus.APPROVED:
        return ()
    return shared_batches(found.quote, table_units(found.quote), found.book)


def _steps(found: RuledTable) -> list[str]:
    """Return what nobody has said is cold, in words."""
    if found.book is None:
        return []
    return list(step_sentences(unanswered_steps(table_units(found.quote), found.book)))


def _ruled(pk: int) -> RuledTable:
    quote = get_object_or_404(Quote.objects.select_related("inquiry__customer"), pk=pk)
    if quote.status not in QUOTES_ALIVE:
        raise Http404
    return ruled_for_approval(quote)
