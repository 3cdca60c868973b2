"""The answer about a window beside what is promised, in words."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from typing import Final

from django.urls import reverse
from django.utils.translation import gettext, ngettext
from django.utils.translation import gettext_noop as marked

from catalog.book.selectors import book_current
from catalog.records.errors import CannotPrice
from catalog.web import display
from costing.contract import Book
from costing.contract.plan_bounds import SAFE_WAY_MIN
from costing.plan.problem import HANDS
from costing.plan.verdicts import AS_PLANNED, BY_REARRANGING, IMPOSSIBLE, UNDECIDED
from orders.planning.answers import NO_VEHICLE, NO_WAY, WindowAnswered, read
from orders.planning.in_the_way_presenters import Way, in_the_way_sentence, ways_on
from orders.planning.problem import leaving
from orders.planning.promise import Leaving
from orders.planning.selectors import window_check
from orders.planning.unsure import unsure_of
from orders.planning.usual import ORDERED, STATED, usual_units
from orders.quotes.models import Quote

#: After so long a page no longer looks for an answer by itself.
LONGEST_WAIT: Final = timedelta(minutes=1)
#: Verdict -> the tone of its box.
_TONES: Final = {AS_PLANNED: "good", BY_REARRANGING: "good", UNDECIDED: "mind", IMPOSSIBLE: "stop"}
_NO_PLAN: Final = marked(
    "No plan was found in which all of this is ready in time. The customer cannot approve before one is found."
)
_VERDICTS: Final = {
    AS_PLANNED: marked("This fits in beside them: people, ovens, cold places, molds and vehicles are enough for all."),
    BY_REARRANGING: marked("This fits in: other work moves, and every order still leaves when it was promised."),
    UNDECIDED: _NO_PLAN,
    IMPOSSIBLE: marked("This cannot be made for that time, however the work is arranged."),
}
#: The same where nothing else is promised around that day.
_ALONE: Final = {
    AS_PLANNED: marked("This time works: people, ovens, cold places, molds and vehicles are enough."),
    BY_REARRANGING: marked("This time works: people, ovens, cold places, molds and vehicles are enough."),
    UNDECIDED: _NO_PLAN,
    IMPOSSIBLE: marked("This cannot be made for that time, however the work is arranged."),
}


@dataclass(frozen=True, slots=True)
class DefaultShown:
    """What counted because nobody stated it, and the page where it is entered."""

    words: str
    label: str
    address: str


@dataclass(frozen=True, slots=True)
class AnswerShown:
    """The answer in words: how much else is promised, the verdict, what is in the way, what works instead, the rest.

    ``works`` says that it is a yes; ``ways`` are the pages on which what is short can be added.
    """

    tone: str
    beside: str
    verdict: str
    works: bool = False
    about: str = ""
    in_the_way: tuple[str, ...] = ()
    ways: tuple[Way, ...] = ()
    instead: str = ""
    notes: tuple[str, ...] = ()
    defaults: tuple[DefaultShown, ...] = ()


@dataclass(frozen=True, slots=True)
class BesideShown:
    """What is known: an answer, that it is being worked out (``waiting``), or nothing; ``may_ask`` with products.

    ``late`` where it takes longer than it should: the page no longer looks for it by itself. ``unsure`` is the mark
    that a quote is sent with all the same (:class:`PlaceUnsure`), where no place was found.
    """

    answer: AnswerShown | None = None
    unsure: str = ""
    waiting: bool = False
    may_ask: bool = False
    late: bool = False


def beside_shown(quote: Quote, at: datetime) -> BesideShown | None:
    """Return what is known about a draft's window beside what is promised; None where there is nothing to ask.

    The quote comes with its inquiry and lines.
    """
    inquiry = quote.inquiry
    if inquiry.window_start <= at or not (quote.lines.all() or usual_units(inquiry, at)):
        return None
    stored = window_check(quote, at)
    if stored is None or stored.answered_at is None:
        late = stored is not None and at - stored.asked_at > LONGEST_WAIT
        return BesideShown(waiting=stored is not None, may_ask=stored is None, late=late)
    try:
        book = book_current()
    except CannotPrice:
        return None
    way = inquiry.window_start - leaving(inquiry.window_start, inquiry)[0]
    answer = read(stored.answer)
    shown = answer_shown(answer, book, way, inquiry.window_end - inquiry.window_start)
    unsure = unsure_of(answer, book)
    return BesideShown(replace(shown, defaults=tuple(_defaults(answer, inquiry.pk))), unsure.mark if unsure else "")


def _defaults(found: WindowAnswered, inquiry_id: int) -> Iterator[DefaultShown]:
    if NO_VEHICLE in found.assumed:
        words = gettext("No vehicle is entered, so one counts: one delivery at a time.")
        yield DefaultShown(words, gettext("Enter vehicles"), reverse("kitchen-delivery"))
    if found.usual and found.usual_by == ORDERED:
        words = gettext("You can state what you usually serve instead.")
        yield DefaultShown(words, gettext("Enter usual desserts"), reverse("usual-desserts"))
    if NO_WAY in found.assumed:
        words = gettext("Nobody entered how long the drive takes, so %(minutes)s minutes count for the way back.")
        address = reverse("inquiry-edit", args=[inquiry_id])
        yield DefaultShown(words % {"minutes": SAFE_WAY_MIN}, gettext("Enter the drive"), address)


def answer_shown(found: WindowAnswered, book: Book, way: timedelta, lasts: timedelta) -> AnswerShown:
    """Write an answer; ``way`` is from leaving to the hand-over, which ``lasts`` so long at most."""
    return AnswerShown(
        _TONES[found.verdict],
        f"{_usual(found, book)} {_beside(found.orders)}".strip(),
        _verdict(found, book),
        found.verdict in (AS_PLANNED, BY_REARRANGING),
        gettext("In the way, as the work is planned now:") if found.verdict == UNDECIDED and found.in_the_way else "",
        tuple(in_the_way_sentence(one, book) for one in found.in_the_way),
        ways_on(found.in_the_way, book),
        _instead(found.instead, way, lasts),
        tuple(_notes(found)),
    )


def _verdict(found: WindowAnswered, book: Book) -> str:
    if found.verdict == UNDECIDED and unsure_of(found, book) is None:
        # It can be approved all the same.
        return gettext("No plan was found in which all of this is ready in time.")
    return gettext((_VERDICTS if found.orders else _ALONE)[found.verdict])


def _usual(found: WindowAnswered, book: Book) -> str:
    """Say what counts while nothing is chosen yet."""
    if not found.usual:
        return ""
    names = {product.code: product.name for product in book.products}
    items = [
        gettext("%(count)s × %(name)s") % {"count": units, "name": names.get(code, code)} for code, units in found.usual
    ]
    if found.usual_by == STATED:
        words = gettext("Nothing is chosen yet. Checked with your usual desserts for so many guests: %(table)s.")
    else:
        words = gettext(
            "Nothing is chosen yet. Checked with what you made most in the past year, for so many guests: %(table)s."
        )
    return words % {"table": display.joined(items)}


def _beside(orders: int) -> str:
    if not orders:
        return gettext("Nothing else is promised around that day.")
    words = ngettext(
        "%(count)s order is promised around that day.", "%(count)s orders are promised around that day.", orders
    )
    return words % {"count": orders}


def _instead(found: Sequence[Leaving], way: timedelta, lasts: timedelta) -> str:
    if not found:
        return ""
    windows = [display.window(begin + way, begin + way + lasts) for begin, _ in found]
    if len(windows) == 1:
        return gettext("This works: %(window)s.") % {"window": windows[0]}
    return gettext("These work: %(first)s; or %(second)s.") % {"first": windows[0], "second": windows[1]}


def _notes(found: WindowAnswered) -> Iterator[str]:
    if found.unstated:
        yield gettext(
            "The reason is only that some waits are not entered. Enter the maximum hold of each step, and how long"
            " products keep."
        )
    if found.over:
        words = ngettext(
            "%(names)s itself has work without a place in the plan.",
            "%(names)s themselves have work without a place in the plan.",
            len(found.over),
        )
        yield words % {"names": display.joined(found.over)}
    if found.uncounted:
        names = [gettext("people") if name == HANDS else name for name in found.uncounted]
        words = gettext("Not counted, because nothing says how many there are or how much goes in: %(names)s.")
        yield words % {"names": display.joined(names)}
