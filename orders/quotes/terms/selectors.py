"""The dates of a draft's terms, from its rows and the kitchen's profile."""

from collections.abc import Iterator
from datetime import date, datetime
from fractions import Fraction
from zoneinfo import ZoneInfo

from catalog.kitchen.cancellation import rows_read
from catalog.kitchen.models import Kitchen
from catalog.kitchen.payment_schedule import after_read, amounts_of, payments_read
from catalog.records.reasons import Reason
from costing.money.rounding import half_up
from orders.documents.agreed import content_agreed
from orders.documents.content import QuoteContent
from orders.quotes.models import Quote
from orders.quotes.terms.dates import Ahead, Contradiction, Stated, TermsDates, Usual, compute_dates, days_apply
from orders.quotes.terms.schedule import asked_of
from orders.records.errors import TermsDisagree
from orders.records.money import from_minor


def dates_of(
    quote: Quote,
    kitchen: Kitchen,
    *,
    at: datetime,
    begins: datetime | None = None,
    stated: Stated | None = None,
    deposit_days: int | None = None,
) -> TermsDates:
    """Return the dates of a draft as it would be sent at ``at``; without a query where its inquiry is loaded.

    ``begins`` is the latest start of work where it is known; ``stated`` and ``deposit_days`` are what a form holds
    instead of what is saved.
    """
    zone = ZoneInfo(kitchen.time_zone)
    ahead = Ahead(
        now=at.astimezone(zone),
        event=quote.inquiry.window_start.astimezone(zone),
        begins=begins.astimezone(zone) if begins else None,
    )
    days = quote.deposit_days if deposit_days is None else deposit_days
    # The deposit of an order stays as it was agreed.
    asked = (quote.deposit_share or quote.deposit_fixed_minor) and quote.amends_id is None
    full = max((row.days for row in rows_read(quote.cancellation_table) if row.share >= 1), default=None)
    usual = Usual(kitchen.quote_valid_days, kitchen.final_count_days, days if asked else 0, full, payment_days(quote))
    return compute_dates(ahead, usual, stated or stated_of(quote, zone))


def payment_days(quote: Quote) -> tuple[int, ...]:
    """Return how many days before the event the payments of a draft are due; of a change those that were agreed."""
    if quote.amends is None:
        return tuple(row.days for row in payments_read(quote.payments_before))
    return tuple(one.days for one in content_agreed(quote.amends.quote).payments_before)


def over_total(quote: Quote, total_minor: int) -> Iterator[TermsDisagree]:
    """Find that a draft's payments are more than its total, or its balance; those of a change are cut."""
    if quote.amends_id is not None:
        return
    rows, fixed = payments_read(quote.payments_before), quote.deposit_fixed_minor
    share = Fraction(quote.deposit_share) if fixed is None else Fraction(0)
    deposit = half_up(total_minor * share) if fixed is None else fixed
    asked = asked_of(total_minor, deposit, rows)
    # What shares round up is cut from the last row.
    if asked > total_minor + len(rows):
        both = {"asked": from_minor(asked, quote.currency), "total": from_minor(total_minor, quote.currency)}
        yield TermsDisagree(reason=Reason("payments_over_total", both), place="payments")
        return
    yield from _over_balance(quote, total_minor - deposit - sum(amounts_of(total_minor, deposit, rows, share=share)))


def _over_balance(quote: Quote, balance_minor: int) -> Iterator[TermsDisagree]:
    """Find that what divides the balance of a draft leaves nothing for the day of the balance."""
    rows = after_read(quote.payments_after)
    asked = asked_of(balance_minor, 0, rows)
    if rows and asked >= balance_minor:
        both = {"asked": from_minor(asked, quote.currency), "balance": from_minor(balance_minor, quote.currency)}
        code = "payments_over_balance" if balance_minor else "no_balance_to_divide"
        yield TermsDisagree(reason=Reason(code, both), place="after")


def deposit_by(content: QuoteContent) -> date | None:
    """Return the day that alone counts for a deposit, where the days after the approval never end before it."""
    sent_on, latest = content.sent_at.date(), content.deposit_latest_on
    return None if days_apply(sent_on=sent_on, days=content.deposit_days, latest_on=latest) else latest


def deposit_at_once(content: QuoteContent) -> bool:
    """Return whether a deposit is due on the day of approval: it has no days, or its last day is that of sending."""
    latest = content.deposit_latest_on
    return not content.deposit_days or (latest is not None and latest <= content.sent_at.date())


def stated_of(quote: Quote, zone: ZoneInfo) -> Stated:
    """Return what is saved with a draft instead of the usual dates."""
    return Stated(
        valid_until=quote.valid_until.astimezone(zone) if quote.valid_until else None,
        count_stated=not quote.final_count_usual,
        final_count_on=quote.final_count_on,
    )


def refusal_of(found: Contradiction) -> TermsDisagree:
    """Return the refusal of two dates that cannot both hold."""
    params = {"day": found.day, "other": found.other, "fits": (found.least, found.most)}
    return TermsDisagree(reason=Reason(found.code, params), place=str(found.term))
