"""Sentences about dates of a quote's terms that cannot both hold, and what would fit.

They are with the refusals because sending a quote is refused with them; ``orders.quotes.terms`` finds them.
"""

from collections.abc import Sequence
from datetime import date
from typing import Final

from django.utils.translation import gettext
from django.utils.translation import gettext_noop as marked

from catalog.records.presenters import Sentences, Writers
from catalog.web import display

TERMS_SENTENCES: Final[Sentences] = {
    "terms_disagree": marked("{reason}"),
    "valid_after_count": marked(
        "The quote is valid until {day:day}, but the final guest count is due on {other:day}, before that. Let the "
        "quote end on {fits:last_day} or earlier, or set a later final count."
    ),
    "valid_after_work": marked(
        "The quote is valid until {day:day}, but work on it starts on {other:day} at the latest. For “Valid until”, "
        "choose {fits:days}."
    ),
    "valid_after_event": marked(
        "The quote is valid until {day:day}, but the event is on {other:day}. For “Valid until”, choose {fits:days}."
    ),
    "count_after_work": marked(
        "The final guest count is due on {day:day}, but work on the order starts on {other:day} at the latest. For the "
        "final count, choose {fits:days}."
    ),
    "count_after_event": marked(
        "The final guest count is due on {day:day}, but the event is on {other:day}. For the final count, choose "
        "{fits:days}."
    ),
    "payments_over_total": marked(
        "The deposit and the payments before the event add up to {asked:money}, more than the total of {total:money}. "
        "Lower an amount, or leave the last payment empty: then it is all that is left."
    ),
    "payments_over_balance": marked(
        "The payments after the invoice add up to {asked:money}, and the balance is {balance:money}. Lower an amount, "
        "so that something is left for the last payment, or remove a row."
    ),
    "no_balance_to_divide": marked(
        "The deposit and the payments before the event are all of the total, so nothing is left to divide after the "
        "invoice. Remove the payments after the invoice, or lower a payment before the event."
    ),
    "count_passed": marked(
        "The final guest count was due on {day:day}, which has passed. For the final count, choose {fits:days}."
    ),
}


def _days_words(days: Sequence[date]) -> str:
    """Write the days from which one can be chosen."""
    least, most = days
    if least == most:
        return display.day(most)
    return gettext("a day from %(first)s to %(last)s") % {"first": display.day(least), "last": display.day(most)}


def _last_day_words(days: Sequence[date]) -> str:
    return display.day(days[1])


TERMS_WRITERS: Final[Writers] = {"days": _days_words, "last_day": _last_day_words}
