"""Quotes, read for the owner's pages."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, datetime, time
from fractions import Fraction
from typing import Final

from django.db.models import Prefetch, QuerySet
from django.urls import reverse
from django.utils import timezone

from catalog import display
from catalog.models import Outbox
from catalog.selectors.books import book_current
from catalog.selectors.kitchen import kitchen
from orders.addresses import can_be_written_to
from orders.briefs import Table, table_of
from orders.content import QuoteContent, content_read
from orders.models import Approval, AuditEntry, Link, Message, Order, Quote, QuoteExtra, QuoteLine
from orders.offers import content_of
from orders.selectors.drafts import Reckoning, Trouble, reckon, reckon_with
from orders.states import QuoteStatus


def draft_full(quote_id: int) -> Quote:
    """Return a quote with its enquiry, customer, lines and extras in three queries.

    Raises Quote.DoesNotExist.
    """
    return _with_rows(Quote.objects.all()).get(pk=quote_id)


def _with_rows(quotes: QuerySet[Quote]) -> QuerySet[Quote]:
    return quotes.select_related("enquiry__customer").prefetch_related(
        Prefetch("lines", queryset=QuoteLine.objects.select_related("product")),
        Prefetch("extras", queryset=QuoteExtra.objects.select_related("tax")),
    )


#: What the record says of each event of a quote.
_EVENTS: Final = {
    "begin": "begun",
    "revise": "begun as a revision",
    "keep table": "table kept",
    "set terms": "terms kept",
    "go below floor": "allowed below the floor margin",
    "send": "sent",
    "approve": "approved",
    "decline": "declined",
    "lapse": "lapsed",
    "withdraw": "withdrawn",
    "replace": "replaced",
    "close links": "links closed",
}


@dataclass(frozen=True, slots=True)
class QuoteFile:
    """One revision with everything that happened to it."""

    quote: Quote
    content: QuoteContent | None
    revisions: list[Quote]
    changes: list[str]
    links: list[Link]
    messages: list[Message]
    mail: list[Outbox]
    history: list[tuple[AuditEntry, str]]
    approval: Approval | None
    order: Order | None


def quote_file(quote_id: int) -> QuoteFile:
    """Return a quote's file in a fixed number of queries.

    Raises Quote.DoesNotExist.
    """
    quote = Quote.objects.select_related("enquiry__customer", "pdf", "replaces").defer("pdf__body").get(pk=quote_id)
    content = content_read(quote.content) if quote.content else None
    revisions = list(Quote.objects.filter(number=quote.number).defer("brief", "estimate").order_by("-revision"))
    before = next((other for other in revisions if other.revision < quote.revision and other.content), None)
    return QuoteFile(
        quote=quote,
        content=content,
        revisions=revisions,
        changes=changes_between(content_read(before.content), content) if before and content else [],
        links=list(quote.links.order_by("pk")),
        messages=list(quote.messages.order_by("pk")),
        mail=list(Outbox.objects.filter(about=f"quote:{quote.pk}").order_by("pk")),
        history=_history(quote),
        approval=Approval.objects.filter(quote=quote).first(),
        order=Order.objects.filter(quote=quote).first(),
    )


def _history(quote: Quote) -> list[tuple[AuditEntry, str]]:
    """Return who did what to a revision, with words for it."""
    entries = AuditEntry.objects.filter(document="quote", document_pk=quote.pk).order_by("pk")
    return [(entry, _EVENTS.get(entry.event, entry.event)) for entry in entries]


def changes_between(before: QuoteContent, after: QuoteContent) -> list[str]:
    """Say in sentences what one revision changed of another."""
    return [*_line_changes(before, after), *_charge_changes(before, after), *_word_changes(before, after)]


def _line_changes(before: QuoteContent, after: QuoteContent) -> list[str]:
    old = {line.product: line for line in before.lines}
    new = {line.product: line for line in after.lines}
    said = [f"{line.units} × {line.name} added." for code, line in new.items() if code not in old]
    said += [f"{line.units} × {line.name} taken off." for code, line in old.items() if code not in new]
    for code, line in new.items():
        was = old.get(code)
        if was is None:
            continue
        if was.units != line.units:
            said.append(f"{line.name}: {line.units} instead of {was.units}.")
        if was.unit_price_minor != line.unit_price_minor:
            now, then = (display.minor(one.unit_price_minor, after.currency) for one in (line, was))
            said.append(f"{line.name}: {now} each instead of {then}.")
    return said


def _charge_changes(before: QuoteContent, after: QuoteContent) -> list[str]:
    old = {(row.kind, row.name): row.amount_minor for row in (*before.extras, *before.shown_charges)}
    new = {(row.kind, row.name): row.amount_minor for row in (*after.extras, *after.shown_charges)}
    said = []
    for key in dict.fromkeys([*old, *new]):
        if old.get(key) == new.get(key):
            continue
        now, then = (display.minor(one.get(key) or 0, after.currency) for one in (new, old))
        if key not in old:
            said.append(f"{key[1]} added: {now}.")
        elif key not in new:
            said.append(f"{key[1]} taken off: {then}.")
        else:
            said.append(f"{key[1]}: {now} instead of {then}.")
    if before.total_minor != after.total_minor:
        now, then = (display.minor(one.total_minor, after.currency) for one in (after, before))
        said.append(f"The total is {now} instead of {then}.")
    return said


def _word_changes(before: QuoteContent, after: QuoteContent) -> list[str]:
    said = []
    if (before.event.window_start, before.event.window_end) != (after.event.window_start, after.event.window_end):
        window = display.window(after.event.window_start, after.event.window_end)
        said.append(
            f"Hand-over {window} instead of {display.window(before.event.window_start, before.event.window_end)}."
        )
    if before.event.place != after.event.place:
        said.append(f"Place: {after.event.place or 'none'} instead of {before.event.place or 'none'}.")
    if before.event.guests != after.event.guests:
        said.append(f"{after.event.guests or 'No number of'} guests instead of {before.event.guests or 'no number'}.")
    if before.valid_until != after.valid_until:
        said.append(f"They can say yes until {display.day(after.valid_until)}.")
    if before.deposit_minor != after.deposit_minor:
        said.append(f"Deposit {display.minor(after.deposit_minor, after.currency)}.")
    for name, word in (("note", "The note"), ("cancellation_terms", "The cancellation terms")):
        if getattr(before, name) != getattr(after, name):
            said.append(f"{word} changed.")
    held = {line.product: line.holding for line in before.lines}
    said += [
        f"How to hold and serve {line.name} changed."
        for line in after.lines
        if line.holding != held.get(line.product, line.holding)
    ]
    return said


@dataclass(frozen=True, slots=True)
class Repriced:
    """An open quote with today's costs: a draft at today's prices, a sent one at the prices it was sent with."""

    quote: Quote
    reckoning: Reckoning

    @property
    def below_floor(self) -> bool:
        """Whether it now falls below the floor margin."""
        return self.reckoning.below_floor

    @property
    def total_minor(self) -> int | None:
        """What the customer was told, or would be told of the draft."""
        return self.reckoning.total_minor if self.quote.total_minor is None else self.quote.total_minor

    @property
    def margin_now(self) -> Fraction | None:
        """What is left of the goods' net price with today's costs."""
        return self.reckoning.estimate.totals.goods_margin if self.reckoning.estimate else None


def open_quotes_repriced(*, day: date) -> list[Repriced]:
    """Reckon drafts and waiting quotes of open enquiries to come again with today's Book.

    Those that fall below the floor stand first, then by the day of the event. The number of queries is fixed.

    Raises CannotPrice when the catalogue cannot be priced at all.
    """
    profile, book = kitchen(), book_current()
    begins = timezone.make_aware(datetime.combine(day, time.min))
    quotes = _with_rows(
        Quote.objects.filter(
            status__in=[QuoteStatus.DRAFT, QuoteStatus.SENT],
            enquiry__closed_at__isnull=True,
            enquiry__window_start__gte=begins,
            currency=book.currency,
        ).defer("brief", "estimate")
    ).order_by("enquiry__window_start", "pk")
    found = [
        Repriced(quote, reckon_with(book, _as_offered(quote), enquiry=quote.enquiry, kitchen=profile, day=day))
        for quote in quotes
    ]
    return sorted(found, key=lambda one: not one.below_floor)


def _as_offered(quote: Quote) -> Table:
    """Return the quote's table; a sent one with the prices it was sent with, as if given by hand."""
    table = table_of(quote)
    if quote.status == QuoteStatus.SENT:
        for line in content_read(quote.content).lines:
            table = table.with_line(line.product, unit_price_minor=line.unit_price_minor)
    return table


@dataclass(frozen=True, slots=True)
class QuoteCheck:
    """A draft as it would be sent now."""

    quote: Quote
    reckoning: Reckoning
    content: QuoteContent | None
    troubles: tuple[Trouble, ...]

    @property
    def may_go(self) -> bool:
        """Whether nothing stands in the way that the service would refuse."""
        return self.content is not None and not self.troubles


def quote_check(quote_id: int, *, at: datetime) -> QuoteCheck:
    """Reckon a draft as it would be sent at ``at``, with everything that would be refused.

    Raises Quote.DoesNotExist.
    """
    quote, profile = draft_full(quote_id), kitchen()
    enquiry = quote.enquiry
    reckoning = reckon(
        table_of(quote),
        enquiry=enquiry,
        kitchen=profile,
        now=at,
        guests=enquiry.guests,
        pieces_per_guest=enquiry.pieces_per_guest,
    )
    content = None
    if reckoning.estimate is not None and quote.valid_until is not None:
        content = content_of(quote, reckoning.estimate, book_current(), profile, at)
    return QuoteCheck(quote, reckoning, content, tuple(_refusals(quote, reckoning, at)))


def _refusals(quote: Quote, reckoning: Reckoning, at: datetime) -> Iterator[Trouble]:
    enquiry, terms = quote.enquiry, reverse("quote-terms", args=[quote.pk])
    yield from reckoning.troubles
    if not quote.lines.all():
        yield Trouble("Nothing is on the table yet.", f"{reverse('enquiry', args=[enquiry.pk])}#table")
    if not can_be_written_to(enquiry.customer.email):
        yield Trouble(
            f"{enquiry.customer} has no e-mail address the quote can go to.",
            reverse("customer-edit", args=[enquiry.customer_id]),
        )
    if quote.valid_until is None or quote.valid_until <= at:
        yield Trouble("The day it would be valid until has passed.", terms)
    if enquiry.window_start <= at:
        yield Trouble("The hand-over is in the past.", reverse("enquiry-edit", args=[enquiry.pk]))
    if enquiry.closed_at is not None:
        yield Trouble("The enquiry is closed.", reverse("enquiry", args=[enquiry.pk]))
    if reckoning.window is not None and not reckoning.window.fits:
        window = reckoning.window
        link = window.link or reverse("enquiry-edit", args=[enquiry.pk])
        yield Trouble(f"{window.sentence} {window.instead}", link)
    if reckoning.below_floor and not quote.override_reason:
        yield Trouble("The margin is below your floor and no reason is on record.")
