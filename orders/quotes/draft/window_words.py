"""The check of a window in words: the result, the reason, what works instead, and a link to details."""

from dataclasses import dataclass
from typing import Final

from orders.quotes.draft.cooling_words import cooling_url
from orders.quotes.draft.windows import WindowAnswer
from orders.records.errors import NeverCold, OrderError, OutTooLong, WindowTooEarly
from orders.records.presenters import reason_sentence

_ABOUT: Final[dict[type[OrderError], str]] = {WindowTooEarly: "Time", NeverCold: "Cold", OutTooLong: "Out of the cold"}


@dataclass(frozen=True, slots=True)
class WindowShown:
    """The check of a window in words; ``instead`` says what works otherwise, ``link`` is a page with details."""

    fits: bool
    about: str
    sentence: str
    instead: str
    link: str


def window_shown(answer: WindowAnswer | None) -> WindowShown | None:
    """Write the check of a window; None if it could not be made."""
    if answer is None:
        return None
    return WindowShown(
        fits=answer.fits,
        about=_ABOUT[answer.refusal],
        sentence=reason_sentence(answer.reason),
        instead="" if answer.instead is None else reason_sentence(answer.instead),
        link="" if answer.product_id is None else cooling_url(answer.product_id),
    )
