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
from costing.plan.deriving import COLD_DRIVE, DRIVE
from costing.plan.explaining import HOURS, NOW
from costing.plan.problem import HANDS, VEHICLE
from costing.plan.verdicts import AS_PLANNED, BY_REARRANGING, IMPOSSIBLE, UNDECIDED
from orders.planning.answers import NO_VEHICLE, NO_WAY, InTheWay, WindowAnswered, read
from orders.planning.problem import leaving
from orders.planning.promise import Leaving
from orders.planning.selectors import window_check
from orders.planning.usual import usual_units
from orders.quotes.models import Quote

#: After so long a page no longer looks for an answer by itself.
LONGEST_WAIT: Final = timedelta(minutes=1)
#: Verdict -> the tone of its box.
_TONES: Final = {AS_PLANNED: "good", BY_REARRANGING: "good", UNDECIDED: "mind", IMPOSSIBLE: "stop"}
_VERDICTS: Final = {
    AS_PLANNED: marked("This fits in beside them, with people, ovens, cold places, molds and vehicles for all."),
    BY_REARRANGING: marked("This fits in: other work moves, and every order still leaves when it was promised."),
    UNDECIDED: marked("No plan for all of it was found, and nothing proves that there is none. Decide yourself."),
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
    """The answer in words: how much else is promised, the verdict, what is in the way, what works instead, the rest."""

    tone: str
    beside: str
    verdict: str
    about: str = ""
    in_the_way: tuple[str, ...] = ()
    instead: str = ""
    notes: tuple[str, ...] = ()
    defaults: tuple[DefaultShown, ...] = ()


@dataclass(frozen=True, slots=True)
class BesideShown:
    """What is known: an answer, that it is being worked out (``waiting``), or nothing; ``may_ask`` with products.

    ``late`` where it takes longer than it should: the page no longer looks for it by itself.
    """

    answer: AnswerShown | None = None
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
    return BesideShown(replace(shown, defaults=tuple(_defaults(answer, inquiry.pk))))


def _defaults(found: WindowAnswered, inquiry_id: int) -> Iterator[DefaultShown]:
    if NO_VEHICLE in found.assumed:
        words = gettext("No vehicle is entered, so one counts: one delivery at a time.")
        yield DefaultShown(words, gettext("Enter vehicles"), reverse("kitchen-delivery"))
    if NO_WAY in found.assumed:
        words = gettext("Nobody entered how long the drive takes, so %(minutes)s minutes count for the way back.")
        address = reverse("inquiry-edit", args=[inquiry_id])
        yield DefaultShown(words % {"minutes": SAFE_WAY_MIN}, gettext("Enter the drive"), address)


def answer_shown(found: WindowAnswered, book: Book, way: timedelta, lasts: timedelta) -> AnswerShown:
    """Write an answer; ``way`` is from leaving to the hand-over, which ``lasts`` so long at most."""
    return AnswerShown(
        _TONES[found.verdict],
        f"{_usual(found, book)} {_beside(found.orders)}".strip(),
        gettext(_VERDICTS[found.verdict]),
        gettext("In the way, as the work is planned now:") if found.verdict == UNDECIDED and found.in_the_way else "",
        tuple(in_the_way_sentence(one, book) for one in found.in_the_way),
        _instead(found.instead, way, lasts),
        tuple(_notes(found)),
    )


def _usual(found: WindowAnswered, book: Book) -> str:
    """Say what counts while nothing is chosen yet."""
    if not found.usual:
        return ""
    names = {product.code: product.name for product in book.products}
    items = [
        gettext("%(count)s × %(name)s") % {"count": units, "name": names.get(code, code)} for code, units in found.usual
    ]
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


def in_the_way_sentence(one: InTheWay, book: Book) -> str:
    """Write what is in the way."""
    facts: dict[str, str | int] = {
        "begin": display.moment(one.begin),
        "end": display.moment(one.end),
        "step": _step(one.step, book),
    }
    if one.cause == NOW:
        return gettext("It is too late: %(step)s would have to begin %(begin)s.") % facts
    if one.cause == HOURS and one.begin == one.end:
        return gettext("Somebody would have to be there %(begin)s for %(step)s.") % facts
    if one.cause == HOURS:
        return gettext("Somebody would have to be there from %(begin)s to %(end)s for %(step)s.") % facts
    facts |= {"what": _resource(one, book), "needed": one.needed, "free": one.free}
    if one.step:
        return gettext("%(what)s: %(needed)s needed, %(free)s free, from %(begin)s to %(end)s, for %(step)s.") % facts
    if not one.free:
        return gettext("%(what)s: none from %(begin)s to %(end)s.") % facts
    facts["times"] = display.plain(one.needed / one.free, 1)
    return gettext("%(what)s: from %(begin)s to %(end)s it takes %(times)s times what there is.") % facts


def _resource(one: InTheWay, book: Book) -> str:
    kind, _, code = one.cause.partition(":")
    if one.cause == HANDS:
        return gettext("Hands")
    if one.cause == VEHICLE:
        return gettext("Refrigerated vehicles") if one.step == COLD_DRIVE else gettext("Vehicles")
    return str(book.station(code)) if kind == "station" else code


def _step(name: str, book: Book) -> str:
    """Write a step with what it is of: `product:CODE/2`; the stay after the last one too."""
    if name in (DRIVE, COLD_DRIVE):
        return gettext("the delivery, until it is back")
    work, _, at = name.rpartition("/")
    kind, _, code = work.partition(":")
    if not code:
        return name
    one = book.product(code) if kind == "product" else book.recipe(code)
    if int(at) >= len(one.steps):
        return gettext("the wait of “%(name)s” until it is handed over") % {"name": one.name}
    return gettext("“%(step)s” of %(name)s") % {"step": one.steps[int(at)], "name": one.name}


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
