"""Inquiries and customers, read for the owner's pages."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime
from typing import Any, Final

from django.core.paginator import Page, Paginator
from django.db.models import Exists, F, OuterRef, Q, QuerySet

from orders.approvals.models import Message
from orders.documents.content import content_read
from orders.inquiries.models import Customer, Inquiry
from orders.orders.models import Order
from orders.quotes.draft.allergens import labels_changed
from orders.quotes.models import Quote
from orders.quotes.selectors import rank
from orders.records.states import ORDERS_AHEAD, OrderStatus, QuoteStatus

PAGE: Final = 25
#: Statuses of orders of which somebody may still eat.
_EATEN_YET: Final = (*ORDERS_AHEAD, OrderStatus.DELIVERED)
#: Which inquiries the list can show.
SHOWS: Final = ("open", "waiting", "ordered", "past", "closed")
_COLUMNS: Final = ("number", "revision", "status", "total_minor", "currency", "valid_until", "inquiry_id")


@dataclass(frozen=True, slots=True)
class InquiryRow:
    """An inquiry in the list with its current quote, and whether a requested change waits for a reply.

    ``labels_changed`` is true where that quote cannot be approved, because its allergens changed since it was sent.
    ``until`` is until when a sent quote is valid, as it says itself: the kitchen's zone may be corrected since.
    ``standing`` is the list of :data:`SHOWS` in which it is, where all lists were searched.
    """

    inquiry: Inquiry
    quote: Quote | None
    change_asked: bool = False
    labels_changed: bool = False
    standing: str = ""
    until: datetime | None = None


#: Orders of a list of inquiries; the usual one is the list's own.
SORTS: Final = {
    "usual": (),
    "soonest": ("window_start", "pk"),
    "latest": ("-window_start", "-pk"),
    "added": ("-pk",),
    "customer": ("customer__name", "window_start", "pk"),
    "event": ("title", "window_start", "pk"),
    "guests": (F("guests").desc(nulls_last=True), "window_start", "pk"),
}
#: Orders of the list of customers.
CUSTOMER_SORTS: Final = {
    "name": ("name", "pk"),
    "kind": ("kind", "name", "pk"),
    "email": ("email", "name", "pk"),
    "added": ("-pk",),
}


def inquiries_listed(*, show: str, search: str, page: str | int, at: datetime, sort: str = "usual") -> Page[InquiryRow]:
    """Return one page of inquiries in a fixed number of queries.

    ``show`` is one of :data:`SHOWS`; anything else is ``open``. ``search`` looks in title, customer, e-mail, place
    and quote number, through all lists; ``sort`` is one of :data:`SORTS`.
    """
    text = cleaned(search)
    found = _found(Inquiry.objects.order_by("-window_start", "-pk"), text) if text else _shown(show, at)
    if columns := SORTS.get(sort):
        found = found.order_by(*columns)
    listed: Page[Any] = Paginator(found.select_related("customer"), PAGE).get_page(page)
    rows = list(listed.object_list)
    current = _current_quotes(rows)
    asked = _change_asked(rows)
    sent = _sent(current.values())
    stopped = labels_changed(sent)
    changed = {quote.inquiry_id for quote in sent if quote.pk in stopped}
    until = {quote.inquiry_id: content_read(quote.content).valid_until for quote in sent}
    listed.object_list = [
        InquiryRow(
            inquiry,
            current.get(inquiry.pk),
            inquiry.pk in asked,
            inquiry.pk in changed,
            _standing(inquiry, current.get(inquiry.pk), at) if text else "",
            until.get(inquiry.pk),
        )
        for inquiry in rows
    ]
    return listed


def _standing(inquiry: Inquiry, quote: Quote | None, at: datetime) -> str:
    """Return the list in which an inquiry with its current quote is; of two lists the one that says more."""
    if inquiry.closed_at is not None:
        return "closed"
    if quote is not None and quote.status == QuoteStatus.APPROVED:
        return "ordered"
    if quote is not None and quote.status == QuoteStatus.SENT:
        return "waiting"
    return "past" if inquiry.window_end < at else "open"


def _sent(quotes: Iterable[Quote]) -> list[Quote]:
    """Return those of the quotes that wait for an answer, with what they say; only these are read, in one query."""
    waiting = [quote.pk for quote in quotes if quote.status == QuoteStatus.SENT]
    columns = "status", "content", "inquiry__allergies", "inquiry__need_counts", "inquiry__allergy_note"
    rows = Quote.objects.filter(pk__in=waiting).exclude(content="").select_related("inquiry").only(*columns)
    return list(rows) if waiting else []


def _change_asked(inquiries: list[Inquiry]) -> set[int]:
    """Return the inquiries with a requested change that nobody has answered."""
    unanswered = Message.objects.filter(
        kind=Message.Kind.CHANGE, seen_at=None, quote__inquiry__in=[inquiry.pk for inquiry in inquiries]
    )
    return set(unanswered.values_list("quote__inquiry_id", flat=True))


def cleaned(search: str) -> str:
    """Return a search text without NUL, which no database accepts, and cut to a sensible length."""
    return search.replace("\x00", "").strip()[:120]


def _shown(show: str, at: datetime) -> QuerySet[Inquiry]:
    everything = Inquiry.objects.all()
    if show == "closed":
        return everything.filter(closed_at__isnull=False).order_by("-closed_at", "-pk")
    if show in ("waiting", "ordered"):
        status = QuoteStatus.SENT if show == "waiting" else QuoteStatus.APPROVED
        # Start from the quotes: few are waiting, whatever the number of inquiries.
        return everything.filter(
            closed_at__isnull=True, pk__in=Quote.objects.filter(status=status).values("inquiry_id")
        ).order_by("window_start" if show == "waiting" else "-window_start", "pk")
    unordered = everything.filter(closed_at__isnull=True).exclude(
        Exists(Quote.objects.filter(inquiry=OuterRef("pk"), status=QuoteStatus.APPROVED))
    )
    if show == "past":
        return unordered.filter(window_end__lt=at).order_by("-window_start", "-pk")
    return unordered.filter(window_end__gte=at).order_by("window_start", "pk")


def _found(inquiries: QuerySet[Inquiry], search: str) -> QuerySet[Inquiry]:
    people = Customer.objects.filter(Q(name__icontains=search) | Q(email__icontains=search))
    quotes = Quote.objects.filter(number__iexact=search)
    return inquiries.filter(
        Q(title__icontains=search)
        | Q(place__icontains=search)
        | Q(customer__in=people.values("pk"))
        | Q(pk__in=quotes.values("inquiry_id"))
    )


def _current_quotes(inquiries: list[Inquiry]) -> dict[int, Quote]:
    """Return each inquiry's current quote: the approved, else the waiting, else the draft, else the last."""
    quotes = Quote.objects.filter(inquiry__in=[inquiry.pk for inquiry in inquiries]).only(*_COLUMNS)
    return {quote.inquiry_id: quote for quote in sorted(quotes, key=rank)}


def customers_listed(*, search: str, page: str | int, sort: str = "name") -> Page[Customer]:
    """Return one page of customers; ``sort`` is one of :data:`CUSTOMER_SORTS`."""
    people = _people(search).order_by(*CUSTOMER_SORTS.get(sort, CUSTOMER_SORTS["name"]))
    return Paginator(people, PAGE).get_page(page)


def customers_like(search: str, *, most: int = 6) -> list[Customer]:
    """Return the first customers whose name or e-mail holds the text; none for fewer than two letters."""
    return list(_people(search)[:most]) if len(cleaned(search)) >= 2 else []


def is_known(*, email: str, idempotency_key: str) -> bool:
    """Whether an e-mail address says who a customer is, or the inquiry was sent before with its idempotency key."""
    if email and Customer.objects.filter(email__iexact=email).exists():
        return True
    return Inquiry.objects.filter(idempotency_key=idempotency_key).exists()


def latest_open() -> int | None:
    """Return the primary key of the latest inquiry that is not closed; None where there is none."""
    return Inquiry.objects.filter(closed_at=None).order_by("-pk").values_list("pk", flat=True).first()


def _people(search: str) -> QuerySet[Customer]:
    text = cleaned(search)
    people = Customer.objects.order_by("name", "pk")
    return people.filter(Q(name__icontains=text) | Q(email__icontains=text)) if text else people


@dataclass(frozen=True, slots=True)
class CustomerFile:
    """A customer with the last inquiries and orders."""

    customer: Customer
    inquiries: list[InquiryRow]
    orders: list[Order]


def customer_file(customer_id: int) -> CustomerFile:
    """Return a customer with the last 50 inquiries and orders in four queries.

    Raises Customer.DoesNotExist.
    """
    customer = Customer.objects.get(pk=customer_id)
    inquiries = list(customer.inquiries.order_by("-window_start", "-pk")[:50])
    current = _current_quotes(inquiries)
    return CustomerFile(
        customer=customer,
        inquiries=[InquiryRow(inquiry, current.get(inquiry.pk)) for inquiry in inquiries],
        orders=list(customer.orders.order_by("-window_start", "-pk")[:50]),
    )


def order_standing(inquiry: Inquiry) -> Order | None:
    """Return the order of an inquiry of which somebody may still eat; None where there is none."""
    return Order.objects.filter(quote__inquiry=inquiry, status__in=_EATEN_YET).first()


def needs_before(customer: Customer, original: Inquiry | None = None) -> Inquiry | None:
    """Return the inquiry of a customer that last named needs: the one that is copied, where it names any."""
    if original is not None and original.customer_id == customer.pk and (original.allergies or original.allergy_note):
        return original
    rows = Inquiry.objects.filter(customer=customer).exclude(allergies=[], allergy_note="")
    return rows.order_by("-received_at", "-pk").first()
