"""The windows that may be offered with a draft, in words."""

from collections.abc import Collection
from dataclasses import dataclass, replace
from datetime import datetime

from django.utils.translation import gettext

from catalog.web import display
from orders.documents.agreed import at_window
from orders.documents.content import QuoteContent
from orders.documents.offered_words import dates_words
from orders.planning.presenters import beside_shown
from orders.quotes.send.check import SendCheck
from orders.quotes.send.offering import MOST, Offer


@dataclass(frozen=True, slots=True)
class OfferShown:
    """A window to check: its mark, when it is, the dates that are others with it, whether it is checked."""

    mark: str
    words: str
    dates: str
    ticked: bool


@dataclass(frozen=True, slots=True)
class OffersShown:
    """The windows to check; ``waiting`` while it is worked out which there are, ``checked`` once it was.

    ``gone`` says that some that were ticked, or offered before, do not work any more.
    """

    rows: tuple[OfferShown, ...] = ()
    waiting: bool = False
    checked: bool = False
    gone: str = ""
    most: int = MOST


def offers_shown(check: SendCheck, offers: Collection[Offer], ticked: Collection[str], at: datetime) -> OffersShown:
    """Write the windows that may be offered; ``ticked`` are the marks of those that are checked."""
    beside = beside_shown(check.quote, at)
    if beside is None or check.content is None:
        return OffersShown()
    if beside.answer is None:
        return OffersShown(waiting=not beside.late)
    content = check.content
    rows = tuple(_shown(content, one, ticked) for one in offers)
    known = {one.mark for one in offers}
    gone = gettext("A time that was offered or checked before no longer works and is not in this list.")
    return OffersShown(rows, checked=True, gone=gone if any(mark not in known for mark in ticked) else "")


def _shown(content: QuoteContent, one: Offer, ticked: Collection[str]) -> OfferShown:
    found = at_window(replace(content, offered=(one.offered,)), 1)
    words = display.window(found.event.window_start, found.event.window_end)
    return OfferShown(one.mark, words, dates_words(content, found), one.mark in ticked)
