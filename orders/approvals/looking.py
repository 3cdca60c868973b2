"""Looking at length, in the background, for the place of a quote that a customer, or the owner for them, approves.

Nothing of it is in a request or a transaction of an approval. What was found is written into the plan only while that
is still the one it was found beside; else it is looked for again.
"""

from datetime import datetime
from typing import Final

from django.db import transaction
from django.db.models import QuerySet

from catalog.outbox.models import Outbox
from catalog.outbox.services import outbox_add
from orders.approvals.placing import window_number
from orders.approvals.selectors import slot_checked
from orders.documents.content import content_read
from orders.planning.models import WindowCheck
from orders.planning.selectors import check_key
from orders.planning.slot_services import PlanChanged, plan_locked, plan_write
from orders.planning.slots import LOOKING, Slot, rests_on, slot_found
from orders.quotes.mails import quote_mail_ask
from orders.quotes.models import Quote
from orders.quotes.selectors import quote_locked
from orders.records.states import QuoteStatus

KIND: Final = "slot_check"
#: How often it is looked for again at once, because something else was approved meanwhile.
_TRIES: Final = 3


@transaction.atomic(durable=True)
def slot_check_ask(*, quote_id: int, at: datetime, chosen: int | None = None) -> bool:
    """Ask for the place of a sent quote to be looked for; return whether that was not asked for already.

    ``chosen`` is the number of the window, where it offers several; another that waits for its answer counts no more.

    Raises
    ------
    Quote.DoesNotExist
        If there is none.
    NoSuchTime
        If it is none of the windows of the quote.
    """
    quote = quote_locked(quote_id)
    if quote.status != QuoteStatus.SENT:
        return False
    quote.window_chosen = window_number(content_read(quote.content), chosen)
    key = check_key(quote, at)
    known = slot_checked(quote)
    if known is not None and known.key == key:
        return False
    facts = {"key": key, "answer": {}, "asked_at": at, "answered_at": None, "window_chosen": quote.window_chosen}
    WindowCheck.objects.update_or_create(quote=quote, defaults=facts)
    payload = {"quote": quote.pk, "key": key, "chosen": quote.window_chosen}
    outbox_add(kind=KIND, payload=payload, about=f"quote:{quote.pk}", summary=quote.number, at=at)
    return True


def slot_check_make(*, row: Outbox, at: datetime) -> None:
    """Look for the place that was asked for; nothing where the quote does not wait any more.

    Raises
    ------
    PlanChanged
        When something else was approved each time; the outbox tries again later.
    """
    for _ in range(_TRIES):
        quote = Quote.objects.select_related("inquiry").filter(pk=row.payload["quote"], status=QuoteStatus.SENT).first()
        if quote is None:
            return
        quote.window_chosen = row.payload.get("chosen")
        waits = _waiting(quote)
        if not waits.exists():
            return
        found = slot_found(quote, at=at, budget=LOOKING)
        if found is None:
            waits.delete()
            return
        if _stored(quote, found, at):
            return
    raise PlanChanged(what=row.summary)


def _waiting(quote: Quote) -> QuerySet[WindowCheck]:
    """Return the check of a quote's window that waits for its answer."""
    return WindowCheck.objects.filter(quote=quote, answered_at=None, window_chosen=quote.window_chosen)


@transaction.atomic(durable=True)
def _stored(asked: Quote, found: Slot, at: datetime) -> bool:
    """Write what was found, and let whoever waits for it know; return whether it was still true."""
    quote = quote_locked(asked.pk)
    quote.window_chosen = asked.window_chosen
    if quote.status != QuoteStatus.SENT:
        return True
    plan = plan_locked()
    if found.rests_on != rests_on(plan, quote, at):
        return False
    plan_write(plan, found, None, at=at)
    checks = _waiting(quote)
    if checks.update(answer=found.answer.written(), answered_at=at, key=check_key(quote, at)):
        works = found.holds or found.uncounted
        quote_mail_ask("time_works" if works else "kitchen_no_time", quote, at=at)
        if not works and quote.window_chosen is not None:
            # There are others, which she can choose without waiting for the kitchen.
            quote_mail_ask("time_not_found", quote, at=at)
    return True
