"""How far the counts of an order may fall after the day of its final count, in words for both sides."""

from django.utils.translation import gettext

from catalog.web import display
from orders.documents.content import QuoteContent
from orders.quotes.amendments.falls import Fallen, LeastCounts


def fall_words(content: QuoteContent) -> str:
    """Write how far the count may fall after its day; empty where the terms do not say."""
    share = content.final_count_fall
    if share is None or content.final_count_on is None:
        return ""
    if not share:
        return gettext("After that the count cannot be lowered.")
    return gettext("After that it can be lowered by %(share)s at most.") % {"share": display.rate(share)}


def below_words(fallen: Fallen, least: LeastCounts) -> str:
    """Write that a count is below what the terms allow, and the least."""
    facts = {
        "day": display.day(least.day),
        "share": display.rate(least.share),
        "count": fallen.count,
        "least": fallen.least,
    }
    if fallen.what == "guests":
        words = gettext(
            "After %(day)s the count can be lowered by %(share)s at most: to %(least)s guests, not %(count)s."
        )
        if not least.share:
            words = gettext("After %(day)s the count cannot be lowered: it stays at %(least)s guests or more.")
    else:
        words = gettext(
            "After %(day)s the count can be lowered by %(share)s at most: to %(least)s servings, not %(count)s."
        )
        if not least.share:
            words = gettext("After %(day)s the count cannot be lowered: it stays at %(least)s servings or more.")
    return words % facts
