"""Inquiries: add, change, close, reopen."""

from collections.abc import Collection, Mapping
from dataclasses import asdict, dataclass, field
from datetime import datetime
from decimal import Decimal
from typing import Any, Final

from django.db import transaction

from catalog.kitchen.selectors import kitchen, kitchen_zone
from catalog.records.moments import same_hour
from catalog.records.reasons import Reason
from catalog.records.versions import stored, unchanged, version_mark
from orders.documents.content import QuoteContent
from orders.inquiries.customer_services import CustomerData, customer_found_or_added
from orders.inquiries.models import Inquiry
from orders.inquiries.selectors import order_standing
from orders.quotes.draft.dessert_table import table_of
from orders.quotes.draft.services import draft_begin, lines_write
from orders.quotes.models import Quote
from orders.records.errors import InquiryClosed, InquiryHasQuoteOut
from orders.records.models import AuditEntry
from orders.records.need_errors import NeedsTakenOff
from orders.records.states import QuoteStatus
from orders.records.transitions import audit

#: Event of an order's history: needs were taken off its inquiry; ``needs`` has each with its number of guests.
TAKEN_OFF: Final = "needs_taken_off"


#: Event of an inquiry's history: somebody said of its allergy note that it names nothing that a guest cannot eat.
NOTE_SETTLED: Final = "note_settled"
#: What is stated with an inquiry's data and is no column of it.
_STATED: Final = ("asked_none", "note_settled")


@dataclass(frozen=True, slots=True)
class InquiryData:
    """An inquiry's data: the day, the place, the guests."""

    title: str
    window_start: datetime
    window_end: datetime
    hand_over: str = Inquiry.HandOver.DELIVERY
    place: str = ""
    km: Decimal | None = None
    minutes: Decimal | None = None
    crew: int = 1
    setup_minutes: Decimal | None = None
    guests: int | None = None
    pieces_per_guest: Decimal | None = None
    budget_minor: int | None = None
    allergies: tuple[str, ...] = ()
    need_counts: Mapping[str, int] = field(default_factory=dict)
    allergy_note: str = ""
    note: str = ""
    #: The customer was asked what guests do not eat, and named nothing; a need that is named says otherwise.
    asked_none: bool = False
    #: Somebody said of the allergy note that it names nothing of the kind.
    note_settled: bool = False

    def columns(self) -> Mapping[str, Any]:
        """Return the values by column, without who asked; JSON holds a list."""
        values = {**asdict(self), "allergies": list(self.allergies), "need_counts": dict(self.need_counts)}
        return {name: value for name, value in values.items() if name not in _STATED}


@transaction.atomic(durable=True)
def inquiry_add(
    *,
    data: InquiryData,
    customer: CustomerData,
    idempotency_key: str,
    by: str,
    at: datetime,
    customer_id: int | None = None,
    copied_from_id: int | None = None,
) -> Inquiry:
    """Add an inquiry with a draft quote, empty or with the table of the inquiry it is copied from.

    With an idempotency key that was used before, the inquiry created with it is returned.

    Raises Customer.DoesNotExist or Inquiry.DoesNotExist when the chosen customer or the original was deleted.
    """
    made = Inquiry.objects.filter(idempotency_key=idempotency_key).first()
    if made is not None:
        return made
    original = Inquiry.objects.get(pk=copied_from_id) if copied_from_id else None
    person = customer_found_or_added(customer_id=customer_id, data=customer, at=at)
    inquiry = Inquiry(
        customer=person, received_at=at, idempotency_key=idempotency_key, copied_from=original, **data.columns()
    )
    _asked(inquiry, data, by=by, at=at)
    inquiry.save(force_insert=True)
    draft = draft_begin(inquiry=inquiry, kitchen=kitchen(), at=at)
    if original is not None:
        _copy_table(original, draft)
    audit(inquiry, "take_down", by=by, at=at, params={"copied_from": original.pk} if original else {})
    _note_settled(inquiry, data, by=by, at=at)
    return inquiry


def _asked(inquiry: Inquiry, data: InquiryData, *, by: str, at: datetime) -> None:
    """Note who asked and when; the first note stays, and a need that is named ends it."""
    if not data.asked_none or data.allergies:
        inquiry.asked_none_at, inquiry.asked_none_by = None, ""
    elif inquiry.asked_none_at is None:
        inquiry.asked_none_at, inquiry.asked_none_by = at, by


def _note_settled(inquiry: Inquiry, data: InquiryData, *, by: str, at: datetime) -> None:
    if data.note_settled and inquiry.asked_none:
        audit(inquiry, NOTE_SETTLED, by=by, at=at, note=inquiry.allergy_note)


def note_settled(inquiry: Inquiry) -> str:
    """Return the allergy note of an inquiry where somebody said that it names no need; else nothing. One query."""
    note = inquiry.allergy_note
    if not note.strip() or not inquiry.asked_none:
        return ""
    stated = AuditEntry.objects.filter(document="inquiry", document_pk=inquiry.pk, event=NOTE_SETTLED, note=note)
    return note if stated.exists() else ""


def _copy_table(original: Inquiry, draft: Quote) -> None:
    """Copy the table; prices given by hand and extras' amounts are copied only within the same currency."""
    last = original.quotes.order_by("-pk").first()
    if last is None:
        return
    lines_write(draft, table_of(last), with_money=last.currency == draft.currency)
    draft.save(update_fields=["discount", "rush"])


def inquiry_version(inquiry: Inquiry) -> str:
    """Return the version of an inquiry's data as stored."""
    columns = [name for name in InquiryData.__dataclass_fields__ if name not in _STATED]
    return version_mark(stored(inquiry, [*columns, "asked_none_at"]))


@transaction.atomic(durable=True)
def inquiry_change(
    *,
    inquiry_id: int,
    data: InquiryData,
    by: str,
    at: datetime,
    version: str = "",
    taken_off: Collection[str] | None = None,
) -> Inquiry:
    """Change an inquiry. A sent quote stays unchanged; a draft's usual dates are computed from the event as it is.

    ``taken_off`` are the needs of which somebody states that they do not hold any more; None where nobody is asked.

    Raises
    ------
    Inquiry.DoesNotExist
        If there is none.
    Overtaken
        If its version is no longer ``version``.
    InquiryClosed
        If it is closed.
    NeedsTakenOff
        If it has an order, and a need goes that is not among ``taken_off``.
    """
    inquiry = unchanged(_open(inquiry_id), version, inquiry_version, name=Reason("the_kind", {"kind": "inquiry"}))
    gone = {code: inquiry.need_counts.get(code) for code in inquiry.allergies if code not in data.allergies}
    order = order_standing(inquiry) if gone else None
    if order is not None and taken_off is not None and not gone.keys() <= {*taken_off}:
        raise NeedsTakenOff(codes=sorted(gone.keys() - {*taken_off}))
    for name, value in data.columns().items():
        setattr(inquiry, name, value)
    _asked(inquiry, data, by=by, at=at)
    inquiry.save()
    audit(inquiry, "change", by=by, at=at)
    _note_settled(inquiry, data, by=by, at=at)
    if order is not None:
        audit(order, TAKEN_OFF, by=by, at=at, params={"needs": gone})
    return inquiry


def inquiry_at(inquiry: Inquiry, content: QuoteContent, *, by: str, at: datetime) -> None:
    """Let an inquiry be for the window that was approved, in the transaction of the approval."""
    zone = kitchen_zone()
    inquiry.window_start = same_hour(content.event.window_start, zone)
    inquiry.window_end = same_hour(content.event.window_end, zone)
    inquiry.save(update_fields=["window_start", "window_end"])
    audit(inquiry, "change", by=by, at=at)


@transaction.atomic(durable=True)
def inquiry_close(*, inquiry_id: int, reason: str, by: str, at: datetime) -> Inquiry:
    """Close an inquiry with the reason. Closing it again changes nothing.

    Raises
    ------
    Inquiry.DoesNotExist
        If there is none.
    InquiryHasQuoteOut
        If a quote waits for an answer.
    """
    inquiry = Inquiry.objects.select_for_update(no_key=True).get(pk=inquiry_id)
    # Whoever sends one of its quotes at this moment is waited for, and then seen.
    list(inquiry.quotes.select_for_update().order_by("pk").values_list("pk"))
    out = inquiry.quotes.filter(status=QuoteStatus.SENT).first()
    if out is not None:
        raise InquiryHasQuoteOut(quote=str(out))
    if inquiry.closed_at is None:
        inquiry.closed_at, inquiry.closed_reason = at, reason
        inquiry.save(update_fields=["closed_at", "closed_reason"])
        audit(inquiry, "close", by=by, at=at, note=reason)
    return inquiry


@transaction.atomic(durable=True)
def inquiry_reopen(*, inquiry_id: int, by: str, at: datetime) -> Inquiry:
    """Open a closed inquiry again.

    Raises Inquiry.DoesNotExist.
    """
    inquiry = Inquiry.objects.select_for_update().get(pk=inquiry_id)
    if inquiry.closed_at is not None:
        inquiry.closed_at, inquiry.closed_reason = None, ""
        inquiry.save(update_fields=["closed_at", "closed_reason"])
        audit(inquiry, "open_again", by=by, at=at)
    return inquiry


def _open(inquiry_id: int) -> Inquiry:
    inquiry = Inquiry.objects.select_for_update().get(pk=inquiry_id)
    if inquiry.closed_at is not None:
        raise InquiryClosed(what=str(inquiry))
    return inquiry
