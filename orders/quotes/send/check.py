"""Check whether a draft can be sent, and compute what would be sent; nothing is saved."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime
from functools import partial

from catalog.kitchen.models import Kitchen
from catalog.kitchen.selectors import kitchen
from costing.contract import Book
from orders.documents.content import QuoteContent
from orders.planning.selectors import check_beside
from orders.quotes.amendments.selectors import amend_refusals
from orders.quotes.cooling.perishables import Unstated, claims_to_confirm, sources_unshown, to_see
from orders.quotes.cooling.remarked import NOTHING_REMARKED, Remarked, remarked
from orders.quotes.cooling.selectors import RuledTable, Unanswered, not_judged, ruled_table
from orders.quotes.cooling.shared import SharedBatch, shared_batches
from orders.quotes.cooling.untimed import Untimed, untimed
from orders.quotes.day_limits import DayOver, day_over
from orders.quotes.draft.allergens import check_words
from orders.quotes.draft.claims import check_claims, check_note, texts_read
from orders.quotes.draft.dessert_table import table_of
from orders.quotes.draft.estimate import DraftEstimate, estimate_draft
from orders.quotes.draft.message_needs import messages_open
from orders.quotes.models import Quote
from orders.quotes.send.content import content_of
from orders.quotes.send.holding_content import contradictions
from orders.quotes.send.to_read import ToRead, to_read_or_read
from orders.quotes.terms.dates import TermsDates
from orders.quotes.terms.selectors import dates_of, over_total, refusal_of
from orders.records.errors import (
    AlreadyApproved,
    EmptyTable,
    EventPassed,
    InquiryClosed,
    OrderError,
    ValidityPassed,
    WindowTaken,
)
from orders.records.need_errors import MessageUnanswered
from orders.records.states import QuoteStatus


@dataclass(frozen=True, slots=True)
class SendCheck:
    """A draft as it would be sent now, with the refusals besides its estimate's problems."""

    quote: Quote
    draft_estimate: DraftEstimate
    dates: TermsDates
    content: QuoteContent | None
    refusals: tuple[OrderError, ...]
    ruled: RuledTable
    unstated: tuple[Unstated, ...] = ()
    not_judged: tuple[Unanswered, ...] = ()
    untimed: tuple[Untimed, ...] = ()
    to_read: tuple[ToRead, ...] = ()
    day_over: DayOver | None = None
    shared: tuple[SharedBatch, ...] = ()
    #: Recipes that were safe at room temperature by a source, and were changed since.
    claims: tuple[str, ...] = ()
    remarked: Remarked = NOTHING_REMARKED
    #: What was read before the revision that this one replaces, and is not asked again.
    read_before: tuple[ToRead, ...] = ()

    @property
    def unsaid(self) -> tuple[Unstated, ...]:
        """The products of which nothing says how they are kept."""
        return tuple(one for one in self.unstated if not one.sources)

    @property
    def room_holding(self) -> tuple[Unstated, ...]:
        """The products that are kept at room temperature by a source."""
        return tuple(one for one in self.unstated if one.sources)

    @property
    def window_missed(self) -> bool:
        """Whether the desserts cannot be ready by the window."""
        return self.draft_estimate.window is not None and not self.draft_estimate.window.fits

    @property
    def reason_missing(self) -> bool:
        """Whether it goes below the floor margin without a recorded reason."""
        return self.draft_estimate.below_floor and not self.quote.override_reason

    @property
    def together_open(self) -> bool:
        """Whether nothing says what is measured of a batch that breaks the rule only with promised orders."""
        return any(one.given is None for one in self.shared)

    @property
    def may_go(self) -> bool:
        """Whether the service would accept it."""
        in_the_way = self.draft_estimate.problems or self.refusals or self.window_missed or self.reason_missing
        return self.content is not None and not in_the_way and not self.ruled.unrecorded and not self.ruled.never


def send_check(quote: Quote, *, at: datetime) -> SendCheck:
    """Check a draft as if sent at ``at``; the quote comes with its rows prefetched."""
    profile, inquiry = kitchen(), quote.inquiry
    draft_estimate = estimate_draft(
        table_of(quote),
        inquiry=inquiry,
        kitchen=profile,
        now=at,
        guests=inquiry.guests,
        pieces_per_guest=inquiry.pieces_per_guest,
    )
    content, ruled = None, RuledTable(quote, ())
    unsaid: tuple[Unstated, ...] = ()
    hot: tuple[Unanswered, ...] = ()
    slow: tuple[Untimed, ...] = ()
    minded = NOTHING_REMARKED
    shared: tuple[SharedBatch, ...] = ()
    claims: tuple[str, ...] = ()
    codes: list[str] = []
    priced, book = draft_estimate.estimate, draft_estimate.book
    dates = dates_of(quote, profile, at=at, begins=draft_estimate.begins)
    if priced is not None and book is not None:
        content = content_of(quote, priced, book, profile, at, dates=dates)
        codes = [line.product for line in priced.lines]
        units = {line.product: line.units for line in priced.lines}
        ruled, unsaid = ruled_table(quote, units, book), to_see(codes, priced.allergens, book)
        hot, slow, minded = not_judged(units, book), untimed(units, book), remarked(units, book)
        shared = shared_batches(quote, units, book)
        claims = claims_to_confirm(codes, book)
    refused = (
        *refusals(quote, at),
        *amend_refusals(quote, content),
        *map(refusal_of, dates.contradictions),
        *(over_total(quote, content.total_minor) if content is not None else ()),
        *(sources_unshown(codes, book) if book is not None else ()),
        *(contradictions(content, book) if content is not None and book is not None else ()),
        *(_words_refused(profile, draft_estimate, book, quote, content) if book is not None else ()),
    )
    words, read = to_read_or_read(quote, book, profile, content)
    over = day_over(inquiry, profile)
    beside = (words, over, shared, claims)
    found = (quote, draft_estimate, dates, content, refused, ruled, unsaid, hot, slow)
    return SendCheck(*found, *beside, remarked=minded, read_before=read)


def _words_refused(
    profile: Kitchen, found: DraftEstimate, book: Book, quote: Quote, content: QuoteContent | None
) -> Iterator[OrderError]:
    """Find the words that would be refused: the kitchen's own, those of desserts and extras, all the others."""
    for check in (
        partial(check_words, profile, book, table_of(quote).extras),
        partial(check_claims, found.claims),
        *(partial(check_note, text, quote, place=place) for place, text in texts_read(quote, content)),
    ):
        try:
            check()
        except OrderError as refusal:
            yield refusal


def refusals(quote: Quote, at: datetime) -> Iterator[OrderError]:
    """Return the refusals that do not depend on prices, the most serious first."""
    inquiry = quote.inquiry
    if quote.amends_id is None and Quote.objects.filter(number=quote.number, status=QuoteStatus.APPROVED).exists():
        yield AlreadyApproved(what=quote.number)
    if inquiry.closed_at is not None:
        yield InquiryClosed(what=str(inquiry))
    if not quote.lines.exists():
        yield EmptyTable(what=str(quote))
    if quote.valid_until is not None and quote.valid_until <= at:
        yield ValidityPassed(what=str(quote))
    if inquiry.window_start <= at:
        yield EventPassed(what=str(inquiry))
    try:
        check_beside(quote, at)
    except WindowTaken as refusal:
        yield refusal
    for wrote in messages_open([inquiry]).get(inquiry.pk, ()):
        yield MessageUnanswered(what=str(quote), text=wrote.text[:240])
