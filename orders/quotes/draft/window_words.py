"""Whether a window can be kept, in words: what it is about, why, what works instead, and the page that says more."""

from dataclasses import dataclass
from typing import Final

from orders.quotes.draft.cooling_words import cooling_url
from orders.quotes.draft.windows import WindowAnswer
from orders.records.errors import NeverCold, OrderError, OutTooLong, WindowTooEarly
from orders.records.presenters import reason_sentence

_ABOUT: Final[dict[type[OrderError], str]] = {WindowTooEarly: "Time", NeverCold: "Cold", OutTooLong: "Out of the cold"}


@dataclass(frozen=True, slots=True)
class WindowShown:
    """An answer in words; ``instead`` says what works where it cannot be kept, ``link`` is the page that says more."""

    fits: bool
    about: str
    sentence: str
    instead: str
    link: str


def window_shown(answer: WindowAnswer | None) -> WindowShown | None:
    """Write out whether a window can be kept; None where that cannot be told."""
    if answer is None:
        return None
    return WindowShown(
        fits=answer.fits,
        about=_ABOUT[answer.refusal],
        sentence=reason_sentence(answer.reason),
        instead="" if answer.instead is None else reason_sentence(answer.instead),
        link="" if answer.product_id is None else cooling_url(answer.product_id),
    )
