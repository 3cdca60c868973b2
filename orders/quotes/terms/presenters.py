"""Dates of a quote's terms in words: what is shorter than usual, and why."""

from collections.abc import Iterator

from django.utils.translation import gettext, ngettext

from catalog.web import display
from orders.quotes.terms.dates import Shortened, Term, TermsDates


def shortened_words(dates: TermsDates) -> str:
    """Write which usual dates are others for this event, and why; empty where none is."""
    return " ".join((_ahead(dates), *_each(dates))) if dates.shortened else ""


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
        facts = {"n": one.usual, "day": display.day(one.day), "until": display.moment(dates.valid_until)}
        yield _words(one) % facts


def _words(one: Shortened) -> str:
    if one.term == Term.VALIDITY:
        return ngettext(
            "The quote is valid until %(until)s, less than your usual %(n)s day.",
            "The quote is valid until %(until)s, less than your usual %(n)s days.",
            one.usual,
        )
    if one.term == Term.DEPOSIT and one.days <= one.usual:
        return ngettext(
            "The deposit is due by %(day)s, less than your usual %(n)s day from approval.",
            "The deposit is due by %(day)s, less than your usual %(n)s days from approval.",
            one.usual,
        )
    if one.term == Term.DEPOSIT:
        return ngettext(
            "The deposit is due within %(n)s day of approval, and on %(day)s at the latest.",
            "The deposit is due within %(n)s days of approval, and on %(day)s at the latest.",
            one.usual,
        )
    if one.later:
        return ngettext(
            "The final guest count is due on %(day)s, less than your usual %(n)s day before the event.",
            "The final guest count is due on %(day)s, less than your usual %(n)s days before the event.",
            one.usual,
        )
    return ngettext(
        "The final guest count is due on %(day)s, more than your usual %(n)s day before the event.",
        "The final guest count is due on %(day)s, more than your usual %(n)s days before the event.",
        one.usual,
    )
