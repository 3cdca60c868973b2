"""A draft as it would be sent now, with everything that would be refused."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime

from django.urls import reverse

from catalog.book.selectors import book_current
from catalog.kitchen.selectors import kitchen
from orders.documents.content import QuoteContent
from orders.mail.addresses import can_be_written_to
from orders.quotes.draft.briefs import table_of
from orders.quotes.draft.estimate import DraftEstimate, Problem, estimate_draft
from orders.quotes.draft.window_words import window_shown
from orders.quotes.models import Quote
from orders.quotes.selectors import draft_full
from orders.quotes.send.content import content_of


@dataclass(frozen=True, slots=True)
class QuoteCheck:
    """A draft as it would be sent now."""

    quote: Quote
    draft_estimate: DraftEstimate
    content: QuoteContent | None
    problems: tuple[Problem, ...]

    @property
    def may_go(self) -> bool:
        """Whether nothing stands in the way that the service would refuse."""
        return self.content is not None and not self.problems


def quote_check(quote_id: int, *, at: datetime) -> QuoteCheck:
    """Reckon a draft as it would be sent at ``at``, with everything that would be refused.

    Raises Quote.DoesNotExist.
    """
    quote, profile = draft_full(quote_id), kitchen()
    inquiry = quote.inquiry
    draft_estimate = estimate_draft(
        table_of(quote),
        inquiry=inquiry,
        kitchen=profile,
        now=at,
        guests=inquiry.guests,
        pieces_per_guest=inquiry.pieces_per_guest,
    )
    content = None
    if draft_estimate.estimate is not None and quote.valid_until is not None:
        content = content_of(quote, draft_estimate.estimate, book_current(), profile, at)
    return QuoteCheck(quote, draft_estimate, content, tuple(_refusals(quote, draft_estimate, at)))


def _refusals(quote: Quote, draft_estimate: DraftEstimate, at: datetime) -> Iterator[Problem]:
    inquiry, terms = quote.inquiry, reverse("quote-terms", args=[quote.pk])
    yield from draft_estimate.problems
    if not quote.lines.all():
        yield Problem("Nothing is on the table yet.", f"{reverse('inquiry', args=[inquiry.pk])}#table")
    if not can_be_written_to(inquiry.customer.email):
        yield Problem(
            f"{inquiry.customer} has no e-mail address the quote can go to.",
            reverse("customer-edit", args=[inquiry.customer_id]),
        )
    if quote.valid_until is None or quote.valid_until <= at:
        yield Problem("The day it would be valid until has passed.", terms)
    if inquiry.window_start <= at:
        yield Problem("The hand-over is in the past.", reverse("inquiry-edit", args=[inquiry.pk]))
    if inquiry.closed_at is not None:
        yield Problem("The enquiry is closed.", reverse("inquiry", args=[inquiry.pk]))
    window = window_shown(draft_estimate.window)
    if window is not None and not window.fits:
        link = window.link or reverse("inquiry-edit", args=[inquiry.pk])
        yield Problem(f"{window.sentence} {window.instead}", link)
    if draft_estimate.below_floor and not quote.override_reason:
        yield Problem("The margin is below your floor and no reason is on record.")
