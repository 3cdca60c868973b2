"""The windows of a quote to choose from, in words."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Final

from django.utils.translation import gettext
from django.utils.translation import gettext_noop as marked

from catalog.web import display
from orders.approvals.quote_page import QuotePage
from orders.documents.agreed import at_window
from orders.documents.content import QuoteContent
from orders.documents.offered_words import dates_words
from orders.planning.offered import CHECK, OVER, TAKEN

_STATES: Final = {
    TAKEN: marked("Taken"),
    OVER: marked("Too late"),
    CHECK: marked("We have to check this time first"),
}
#: What nobody can choose any more.
GONE: Final = (TAKEN, OVER)


@dataclass(frozen=True, slots=True)
class WindowShown:
    """A window to choose: its number, when it is, what is to be known of it, and whether it can be chosen, and is."""

    number: int
    words: str
    state: str
    dates: str
    gone: bool
    checked: bool


def windows_shown(page: QuotePage, chosen: int | None = None) -> tuple[WindowShown, ...]:
    """Write the windows of an open quote that offers several; ``chosen`` is the number of the one that is checked."""
    if not page.can_approve or not page.content.offered:
        return ()
    checked = window_wanted(page.windows, chosen)
    return tuple(_shown(page.content, number, state, checked) for number, state in enumerate(page.windows))


def window_wanted(states: Sequence[str], chosen: int | None) -> int | None:
    """Return the number of the window to begin with: the one wanted, else the first that can be chosen."""
    able = [number for number, state in enumerate(states) if state not in GONE]
    if chosen in able:
        return chosen
    return next((number for number in able if states[number] != CHECK), able[0] if able else None)


def window_number_of(data: Mapping[str, str]) -> int | None:
    """Return the number of the window in what was sent; None where there is none, -1 where it is no number."""
    text = data.get("window", "")
    if not text:
        return None
    return int(text) if text.isascii() and text.isdigit() and len(text) < 3 else -1


def window_to_show(content: QuoteContent, chosen: int | None) -> int | None:
    """Return the number of the window that a page shows: the one chosen where there is one of that number."""
    if not content.offered:
        return None
    return chosen if chosen is not None and 0 <= chosen <= len(content.offered) else 0


def _shown(content: QuoteContent, number: int, state: str, checked: int | None) -> WindowShown:
    one = at_window(content, number)
    return WindowShown(
        number,
        display.window(one.event.window_start, one.event.window_end),
        gettext(_STATES[state]) if state in _STATES else "",
        dates_words(content, one),
        state in GONE,
        number == checked,
    )
