"""Dates of a quote's terms in words: what is shorter than usual, and why."""

from collections.abc import Iterator
from datetime import date

from django.utils.translation import gettext, ngettext

from catalog.kitchen.payment_schedule import AfterInvoice
from catalog.web import display
from orders.documents.content import QuoteContent
from orders.documents.dated_payments import DatedPayment
from orders.quotes.terms.dates import Shortened, Term, TermsDates


def shortened_words(dates: TermsDates) -> str:
    """Write which usual dates are others for this event, and why; empty where none is."""
    if not dates.shortened:
        return ""
    differ = gettext("Earlier than usual: %(dates)s.") % {"dates": "; ".join(_each(dates))}
    return f"{_ahead(dates)} {differ}"


def payment_when(payment: DatedPayment, content: QuoteContent) -> str:
    """Write by when a payment before the event is due: who approves after its day has until the end of that day."""
    day = {"day": display.day(payment.due_on)}
    if content.amends is None and payment.due_on <= content.sent_at.date():
        return gettext("when you approve")
    if content.amends is None and payment.due_on < content.valid_until.date():
        return gettext("due by %(day)s, or when you approve if that is later") % day
    return gettext("due by %(day)s") % day


def balance_parts(content: QuoteContent) -> str:
    """Write how much of the balance is due how many days after the invoice, of each of its payments."""
    return display.joined([_after(one, content.currency) for one in content.balance_parts])


def _after(one: AfterInvoice, currency: str) -> str:
    facts = {"amount": display.minor(one.amount_minor, currency), "days": one.days}
    if not one.days:
        return gettext("%(amount)s with the invoice") % facts
    words = ngettext(
        "%(amount)s %(days)s day after the invoice", "%(amount)s %(days)s days after the invoice", one.days
    )
    return words % facts


def since_words(dates: TermsDates, before: QuoteContent, *, deposit_due_on: date | None = None) -> str:
    """Write which dates are others than in what a revision is compared with, and that work has to start earlier.

    ``deposit_due_on`` is when the deposit of an order that is changed is due: it stays as agreed. Empty where nothing
    is to be said.
    """
    found = list(_since(dates, before))
    begins = dates.ahead.begins
    if deposit_due_on is not None and begins is not None and begins.date() <= deposit_due_on:
        late = gettext("the deposit stays due by %(day)s, after work has begun: ask for it earlier if it is unpaid")
        found.append(late % {"day": display.day(deposit_due_on)})
    if not found:
        return ""
    if begins is None:
        head = gettext("Other dates than agreed or sent before: %(dates)s.")
    else:
        head = gettext("Work on it now has to start by %(begins)s: %(dates)s.")
    return head % {"begins": display.moment(begins) if begins else "", "dates": "; ".join(found)}


def _since(dates: TermsDates, before: QuoteContent) -> Iterator[str]:
    now, was = dates.deposit_latest_on, before.deposit_latest_on
    if before.deposit_minor and now is not None and now != was:
        words = gettext("the deposit is due by %(now)s instead of %(was)s")
        if was is None:
            words = gettext("the deposit is due by %(now)s at the latest")
        yield words % {"now": display.day(now), "was": display.day(was)}
    count, then = dates.final_count_on, before.final_count_on
    if count is not None and then is not None and count != then:
        words = gettext("the final guest count is due on %(now)s instead of %(was)s")
        yield words % {"now": display.day(count), "was": display.day(then)}


def _ahead(dates: TermsDates) -> str:
    """Write how far away the event is, and when the work on it starts."""
    ahead = dates.ahead
    if ahead.begins is None:
        words = {
            0: gettext("The event is today."),
            1: gettext("The event is tomorrow."),
        }.get(ahead.days, gettext("The event is in %(n)s days."))
    else:
        words = {
            0: gettext("The event is today, and work on it starts %(begins)s at the latest."),
            1: gettext("The event is tomorrow, and work on it starts %(begins)s at the latest."),
        }.get(ahead.days, gettext("The event is in %(n)s days, and work on it starts %(begins)s at the latest."))
    return words % {"n": ahead.days, "begins": display.moment(ahead.begins) if ahead.begins else ""}


def _each(dates: TermsDates) -> Iterator[str]:
    for one in dates.shortened:
        facts = {
            "n": one.usual,
            "day": display.day(one.day),
            "until": display.moment(dates.valid_until),
            "charged": display.day(one.charged_from),
        }
        yield _words(one, dates) % facts


def _words(one: Shortened, dates: TermsDates) -> str:
    if one.term == Term.VALIDITY:
        return gettext("valid until %(until)s")
    if one.term == Term.FINAL_COUNT:
        return gettext("final guest count due on %(day)s")
    if one.term == Term.PAYMENT:
        at_once = one.day == dates.ahead.today
        words = gettext("payment planned for %(n)s days before the event due by %(day)s")
        return gettext("payment planned for %(n)s days before the event due when it is approved") if at_once else words
    if one.charged_from is not None and one.day == dates.ahead.today:
        return gettext("deposit due when it is approved, because canceling costs the whole price from %(charged)s on")
    if one.charged_from is not None:
        return gettext("deposit due by %(day)s, because canceling costs the whole price from %(charged)s on")
    if one.days <= one.usual:
        return gettext("deposit due by %(day)s")
    return ngettext(
        "deposit due within %(n)s day of approval, and on %(day)s at the latest",
        "deposit due within %(n)s days of approval, and on %(day)s at the latest",
        one.usual,
    )
