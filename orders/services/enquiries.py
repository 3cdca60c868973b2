"""An enquiry from the first call to the moment it is closed."""

from collections.abc import Mapping
from dataclasses import asdict, dataclass
from datetime import datetime
from decimal import Decimal
from typing import Any

from django.db import transaction

from catalog.selectors.kitchen import kitchen
from orders.briefs import table_of
from orders.errors import EnquiryClosed, EnquiryHasQuoteOut
from orders.models import Enquiry, Quote
from orders.services.customers import CustomerFacts, customer_found_or_added
from orders.services.drafts import draft_begin, draft_days_follow, lines_write
from orders.services.moves import audit
from orders.states import QuoteStatus


@dataclass(frozen=True, slots=True)
class EnquiryFacts:
    """What somebody asked for: the day, the place, the people."""

    title: str
    window_start: datetime
    window_end: datetime
    hand_over: str = Enquiry.HandOver.DELIVERY
    place: str = ""
    km: Decimal | None = None
    minutes: Decimal | None = None
    crew: int = 1
    setup_minutes: Decimal | None = None
    guests: int | None = None
    pieces_per_guest: Decimal | None = None
    budget_minor: int | None = None
    allergies: tuple[str, ...] = ()
    allergy_note: str = ""
    note: str = ""

    def columns(self) -> Mapping[str, Any]:
        """Return the values by column; JSON holds a list."""
        return {**asdict(self), "allergies": list(self.allergies)}


@transaction.atomic(durable=True)
def enquiry_add(
    *,
    facts: EnquiryFacts,
    customer: CustomerFacts,
    once: str,
    by: str,
    at: datetime,
    customer_id: int | None = None,
    copied_from_id: int | None = None,
) -> Enquiry:
    """Take an enquiry down and begin a draft quote for it, empty or with the table of the one it is copied from.

    ``once`` is the form's one-time key: the same key again returns the enquiry it made.

    Raises Customer.DoesNotExist or Enquiry.DoesNotExist when the chosen customer or the original is gone.
    """
    made = Enquiry.objects.filter(once=once).first()
    if made is not None:
        return made
    original = Enquiry.objects.get(pk=copied_from_id) if copied_from_id else None
    person = customer_found_or_added(customer_id=customer_id, facts=customer, at=at)
    enquiry = Enquiry.objects.create(
        customer=person, received_at=at, once=once, copied_from=original, **facts.columns()
    )
    draft = draft_begin(enquiry=enquiry, kitchen=kitchen(), at=at)
    if original is not None:
        _copy_table(original, draft)
    audit(enquiry, "take down", by=by, at=at, note=f"copied from {original}" if original else "")
    return enquiry


def _copy_table(original: Enquiry, draft: Quote) -> None:
    """Lay the same table; prices given by hand and extras' amounts are kept only in the same currency."""
    last = original.quotes.order_by("-pk").first()
    if last is None:
        return
    lines_write(draft, table_of(last), with_money=last.currency == draft.currency)
    draft.save(update_fields=["discount", "rush"])


@transaction.atomic(durable=True)
def enquiry_change(*, enquiry_id: int, facts: EnquiryFacts, by: str, at: datetime) -> Enquiry:
    """Change what was asked for. A quote that was sent stays as it was sent; a draft's usual days follow the event.

    Raises
    ------
    Enquiry.DoesNotExist
        If there is none.
    EnquiryClosed
        If it is closed.
    """
    enquiry = _open(enquiry_id)
    event_before = enquiry.window_start
    for name, value in facts.columns().items():
        setattr(enquiry, name, value)
    enquiry.save()
    draft_days_follow(enquiry=enquiry, event_before=event_before, kitchen=kitchen(), at=at)
    audit(enquiry, "change", by=by, at=at)
    return enquiry


@transaction.atomic(durable=True)
def enquiry_close(*, enquiry_id: int, reason: str, by: str, at: datetime) -> Enquiry:
    """Put an enquiry away with the reason. Closing it again changes nothing.

    Raises
    ------
    Enquiry.DoesNotExist
        If there is none.
    EnquiryHasQuoteOut
        If a quote waits for an answer.
    """
    enquiry = Enquiry.objects.select_for_update().get(pk=enquiry_id)
    out = enquiry.quotes.filter(status=QuoteStatus.SENT).first()
    if out is not None:
        raise EnquiryHasQuoteOut(quote=str(out))
    if enquiry.closed_at is None:
        enquiry.closed_at, enquiry.closed_reason = at, reason
        enquiry.save(update_fields=["closed_at", "closed_reason"])
        audit(enquiry, "close", by=by, at=at, note=reason)
    return enquiry


@transaction.atomic(durable=True)
def enquiry_open_again(*, enquiry_id: int, by: str, at: datetime) -> Enquiry:
    """Take a closed enquiry up again.

    Raises Enquiry.DoesNotExist.
    """
    enquiry = Enquiry.objects.select_for_update().get(pk=enquiry_id)
    if enquiry.closed_at is not None:
        enquiry.closed_at, enquiry.closed_reason = None, ""
        enquiry.save(update_fields=["closed_at", "closed_reason"])
        audit(enquiry, "open again", by=by, at=at)
    return enquiry


def _open(enquiry_id: int) -> Enquiry:
    enquiry = Enquiry.objects.select_for_update().get(pk=enquiry_id)
    if enquiry.closed_at is not None:
        raise EnquiryClosed(what=str(enquiry))
    return enquiry
