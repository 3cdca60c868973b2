"""The page of a quote's terms and note."""

from functools import partial

from django.contrib import messages
from django.http import HttpRequest, HttpResponse, QueryDict
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.utils.translation import gettext

from catalog.kitchen.payment_schedule_forms import picked, ready_buttons, with_picked
from catalog.kitchen.selectors import kitchen
from catalog.web.access import OWNER, allow
from catalog.web.edits import Edit
from catalog.web.form_data import submitted_data
from orders.quotes.draft.dessert_table import table_of
from orders.quotes.draft.estimate import estimate_draft
from orders.quotes.draft.services import draft_terms, terms_version
from orders.quotes.draft.terms_forms import TermsForms
from orders.quotes.models import Quote
from orders.quotes.selectors import quotes_with_rows
from orders.quotes.terms.presenters import shortened_words
from orders.records.errors import NoteUnproven
from orders.records.presenters import sentence


@allow(OWNER)
def quote_terms(request: HttpRequest, pk: int) -> HttpResponse:
    """Set validity, deposit, final count, cancellation and the note to the customer."""
    data = submitted_data(request)
    pick = picked(data)
    edit = Edit(
        data=with_picked(data) if data is not None and pick else data,
        load=lambda: get_object_or_404(quotes_with_rows(), pk=pk),
        forms=_terms_form,
        version_of=terms_version,
        page=request.path,
    )
    form, by = edit.forms.terms_form, request.user.get_username()
    if form.is_bound and not pick and edit.forms.is_valid():
        save = partial(draft_terms, quote_id=pk, terms=edit.forms.terms(), by=by, at=timezone.now())
        try:
            if edit.saved(lambda version: save(version=version)):
                messages.success(request, gettext("Saved."))
                return redirect("quote-send", pk=pk)
        except NoteUnproven as refusal:
            form.add_error(refusal.place, sentence(refusal))
    # Of a form that was overtaken, the one with the saved values of what was not touched.
    form = edit.forms.terms_form
    context = {"quote": edit.record, "form": form, "rows": edit.forms.rows, "edit": edit}
    context |= {"payments": edit.forms.payments, "after": edit.forms.after, "picked": pick, "ready": ready_buttons()}
    context["shortened"] = shortened_words(form.dates)
    return render(request, "orders/quotes/draft/terms.html", context, status=edit.status())


def _terms_form(quote: Quote, data: QueryDict | None) -> TermsForms:
    """Return the forms of a draft's terms, which knows when the work on its saved table begins."""
    now, profile, inquiry = timezone.now(), kitchen(), quote.inquiry
    found = estimate_draft(table_of(quote), inquiry=inquiry, kitchen=profile, now=now)
    total = found.total_minor
    return TermsForms(data, kitchen=profile, quote=quote, now=now, begins=found.begins, total_minor=total)
