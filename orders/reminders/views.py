"""The owner's pages of reminders: what goes out next, when and with which text, and those of one quote or order."""

from functools import partial
from typing import Any

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse, QueryDict
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext
from django.views.decorators.http import require_http_methods, require_safe

from catalog.kitchen.selectors import kitchen
from catalog.records.errors import WordsUnproven
from catalog.records.presenters import sentence as catalog_sentence
from catalog.web.access import OWNER, allow
from catalog.web.actions import sent_to
from catalog.web.edits import Edit
from catalog.web.form_data import submitted_data
from orders.mail.selectors import mail_leaves
from orders.orders.models import Order
from orders.quotes.draft.allergy_presenters import fine_shown
from orders.quotes.models import Quote
from orders.records.errors import ChangedMeanwhile
from orders.records.need_errors import TextUnread
from orders.records.presenters import sentence
from orders.records.states import QuoteStatus
from orders.reminders.claims import sentences_to_read
from orders.reminders.dues import molds_out
from orders.reminders.forms import RemindersForm, TextForm, ThingsForm
from orders.reminders.kinds import KINDS
from orders.reminders.models import Reminder, ReminderRule, ThingsOut
from orders.reminders.presenters import fields_shown, kinds_listed, planned_shown, reminders_shown, written
from orders.reminders.selectors import (
    Plan,
    example_of,
    examples,
    is_stopped,
    plan_now,
    plan_version,
    planned,
    reminders_held,
    reminders_lately,
    reminders_of,
    text_version,
    things_row,
    things_version,
)
from orders.reminders.services import (
    reminder_drop,
    reminder_send,
    reminder_skip,
    reminder_text_save,
    reminders_resume,
    reminders_save,
    reminders_stop,
    things_save,
)
from orders.reminders.words import kind_words


@require_safe
@allow(OWNER)
def reminders(request: HttpRequest) -> HttpResponse:
    """Show what goes out next, what waits for a decision, and what became of those before."""
    now, plan = timezone.now(), plan_now()
    context = {
        "plan": plan,
        "ahead": planned_shown(planned(at=now, plan=plan), at=now),
        "held": reminders_shown(reminders_held()),
        "lately": reminders_shown(reminders_lately()),
        "mail_leaves": mail_leaves(),
    }
    return render(request, "orders/reminders/reminders.html", context)


@allow(OWNER)
def reminders_settings(request: HttpRequest) -> HttpResponse:
    """Show and change whether and when reminders go out."""
    data = submitted_data(request)
    edit = Edit(data=data, load=plan_now, forms=_settings_form, version_of=plan_version, page=request.path)
    if data is not None and edit.forms.is_valid() and edit.saved(partial(_settings_save, request, edit.forms)):
        done = gettext("The reminders are saved.") if edit.forms.cleaned_data["on"] else gettext("Reminders are off.")
        messages.success(request, done)
        return redirect("reminders")
    context = {"form": edit.forms, "edit": edit, "kinds": kinds_listed()}
    return render(request, "orders/reminders/settings.html", context, status=edit.status())


def _settings_form(plan: Plan, data: QueryDict | None) -> RemindersForm:
    return RemindersForm(data, plan=plan)


def _settings_save(request: HttpRequest, form: RemindersForm, version: str) -> bool:
    on, hour, by = form.cleaned_data["on"], form.cleaned_data["hour"], request.user.get_username()
    reminders_save(on=on, hour=hour, rules=form.rules(), version=version, by=by, at=timezone.now())
    return True


@allow(OWNER)
def reminder_text(request: HttpRequest, kind: str) -> HttpResponse:
    """Show and change a kind's text, and show it filled in with something real."""
    if kind not in KINDS:
        raise Http404
    data = submitted_data(request)
    edit = Edit(
        data=data,
        load=lambda: plan_now().rules[kind],
        forms=lambda rule, data: TextForm(data, kind=kind, subject=rule.subject, text=rule.text),
        version_of=text_version,
        page=request.path,
    )
    form, previews = edit.forms, "preview" in request.POST
    if data is not None and form.is_valid() and not previews and _text_saved(request, edit, kind):
        messages.success(request, gettext("The text is saved."))
        return redirect("reminder-text", kind)
    shown = {"subject": edit.record.subject, "text": edit.record.text}
    if form.is_bound and form.is_valid():
        shown = form.own()
    context = {"form": form, "edit": edit, "kind": kind, "name": kind_words(kind), "fields": fields_shown(kind)}
    context |= _preview(request, ReminderRule(kind=kind, **shown)) if not form.errors else {"preview": None}
    return render(request, "orders/reminders/text.html", context, status=edit.status(422 if form.errors else 200))


def _text_saved(request: HttpRequest, edit: Edit[ReminderRule, TextForm], kind: str) -> bool:
    """Save a text, or say in the form why not."""
    form, read = edit.forms, request.POST.getlist("read")
    try:
        save = partial(_text_save, form, kind, read)
        return bool(edit.saved(save))
    except TextUnread as refusal:
        form.add_error(refusal.place, sentence(refusal))
        words = form.own()
        form.asked = fine_shown(one for text in words.values() for one in sentences_to_read(text))
    except WordsUnproven as refusal:
        form.add_error(refusal.place, catalog_sentence(refusal))
    return False


def _text_save(form: TextForm, kind: str, read: list[str], version: str) -> bool:
    reminder_text_save(kind=kind, **form.own(), read=read, version=version)
    return True


def _preview(request: HttpRequest, rule: ReminderRule) -> dict[str, Any]:
    """Return a text filled in with the example that was chosen, or the latest."""
    at = timezone.now()
    listed, chosen = examples(rule.kind, at=at), request.POST.get("example", "")
    due = example_of(listed, chosen)
    return {
        "examples": listed,
        "example": due,
        "preview": written(due, rule, kitchen()) if due is not None else None,
    }


@allow(OWNER)
def quote_reminders(request: HttpRequest, pk: int) -> HttpResponse:
    """Show the reminders about a quote and its order, and note what the customer has to return."""
    found = get_object_or_404(
        Quote.objects.exclude(status=QuoteStatus.DRAFT).select_related("inquiry__customer"), pk=pk
    )
    orders = Order.objects.select_related("customer").prefetch_related("lines__product__mold")
    order, data = orders.filter(quote__number=found.number).first(), submitted_data(request)
    edit = None if order is None else _things(order, data)
    if edit is not None and data is not None and edit.forms.is_valid() and _things_saved(request, edit):
        messages.success(request, gettext("Saved."))
        return redirect("quote-reminders", pk)
    at, plan = timezone.now(), plan_now()
    context = {
        "quote": found,
        "order": order,
        "plan": plan,
        "stopped": is_stopped(found.number),
        "ahead": planned_shown(planned(at=at, number=found.number, plan=plan), at=at),
        "past": reminders_shown(reminders_of(found.number)),
        "edit": edit,
        "form": edit.forms if edit is not None else None,
        "molds": molds_out(order) if order is not None else (),
        "back": (edit.record.back_at, edit.record.back_by) if edit is not None else None,
    }
    refused = edit is not None and bool(edit.forms.errors)
    status = edit.status(422 if refused else 200) if edit is not None else 200
    return render(request, "orders/reminders/quote.html", context, status=status)


def _things(order: Order, data: QueryDict | None) -> Edit[ThingsOut, ThingsForm]:
    return Edit(
        data=data,
        load=lambda: things_row(order),
        forms=lambda row, data: ThingsForm(data, initial={"things": row.things, "back": row.back_at is not None}),
        version_of=things_version,
        page=reverse("quote-reminders", args=[order.quote_id]),
    )


def _things_saved(request: HttpRequest, edit: Edit[ThingsOut, ThingsForm]) -> bool:
    form, read = edit.forms, request.POST.getlist("read")
    facts = {**form.cleaned_data, "read": read, "by": request.user.get_username(), "at": timezone.now()}
    try:
        return edit.saved(partial(_things_save, edit.record.order_id, facts)) is not None
    except TextUnread as refusal:
        form.add_error(refusal.place, sentence(refusal))
        form.asked = fine_shown(sentences_to_read(form.cleaned_data["things"]))
    except WordsUnproven as refusal:
        form.add_error(refusal.place, catalog_sentence(refusal))
    return False


def _things_save(order_id: int, facts: dict[str, Any], version: str) -> ThingsOut:
    return things_save(order_id=order_id, version=version, **facts)


@sent_to("quote-reminders")
@allow(OWNER)
def quote_reminders_stop(request: HttpRequest, pk: int) -> HttpResponse:
    """Stop the reminders about a quote and its order, or let them go out again."""
    found = get_object_or_404(Quote.objects.exclude(status=QuoteStatus.DRAFT), pk=pk)
    at = timezone.now()
    if request.POST.get("what") == "resume":
        reminders_resume(number=found.number, at=at)
        messages.success(request, gettext("Reminders go out again. What was due meanwhile is not sent."))
    else:
        reminders_stop(number=found.number, by=request.user.get_username(), at=at)
        messages.success(request, gettext("Reminders are stopped here."))
    return redirect("quote-reminders", pk)


@require_http_methods(["GET", "HEAD", "POST"])
@allow(OWNER)
def reminder_skip_view(request: HttpRequest, kind: str, pk: int) -> HttpResponse:
    """Leave out one reminder that is ahead; opening the address leads to the list."""
    if kind not in KINDS:
        raise Http404
    if request.method != "POST":
        return redirect("reminders")
    if reminder_skip(kind=kind, pk=pk, by=request.user.get_username(), at=timezone.now()):
        messages.success(request, gettext("This reminder is left out."))
    else:
        messages.info(request, gettext("This reminder is not planned any more."))
    return redirect("reminders")


@require_http_methods(["GET", "HEAD", "POST"])
@allow(OWNER)
def reminder_decide(request: HttpRequest, pk: int) -> HttpResponse:
    """Send a reminder that was held back, or leave it out; opening the address leads to the list."""
    if request.method != "POST":
        return redirect("reminders")
    get_object_or_404(Reminder, pk=pk)
    by, at = request.user.get_username(), timezone.now()
    try:
        if request.POST.get("what") == "send":
            goes = reminder_send(reminder_id=pk, by=by, at=at)
            messages.success(request, _on_its_way() if goes else gettext("Not sent: it is not needed any more."))
        else:
            reminder_drop(reminder_id=pk, by=by, at=at)
            messages.success(request, gettext("This reminder is left out."))
    except ChangedMeanwhile:
        messages.info(request, gettext("This was decided already."))
    return redirect("reminders")


def _on_its_way() -> str:
    if mail_leaves():
        return gettext("The reminder is on its way.")
    return gettext("The reminder is written, not sent: no mail server is set up.")
