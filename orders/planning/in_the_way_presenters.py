"""What is in the way of a window in the kitchen's plan, in words, with the pages on which it can be added."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from django.urls import reverse
from django.utils.translation import gettext

from catalog.molds.models import Mold
from catalog.web import display
from costing.contract import Book
from costing.plan.deriving import COLD_DRIVE, DRIVE
from costing.plan.explaining import HOURS, NOW
from costing.plan.problem import HANDS, VEHICLE
from orders.planning.answers import InTheWay


@dataclass(frozen=True, slots=True)
class Way:
    """What can be added, and the page where it is."""

    label: str
    address: str


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


def short_sentences(found: Sequence[InTheWay], book: Book) -> tuple[str, ...]:
    """Write what is in the way, each once; of what is short, how much of it on which day."""
    return tuple(dict.fromkeys(_short(one, book) for one in found))


def _short(one: InTheWay, book: Book) -> str:
    if one.cause in (NOW, HOURS) or not one.step or one.needed <= one.free:
        return in_the_way_sentence(one, book)
    facts = {"what": _resource(one, book), "short": one.needed - one.free, "day": display.day(one.begin)}
    return gettext("%(what)s: %(short)s short on %(day)s.") % facts


def ways_on(found: Sequence[InTheWay], book: Book) -> tuple[Way, ...]:
    """Return the pages on which what is short can be added, each once; one query where molds are short."""
    short = [one.cause for one in found]
    molds = [cause.partition(":")[2] for cause in short if cause.startswith("mold:")]
    keys = dict(Mold.objects.filter(name__in=molds).values_list("name", "pk")) if molds else {}
    return tuple(dict.fromkeys(way for cause in short if (way := _way(cause, book, keys)) is not None))


def _way(cause: str, book: Book, molds: Mapping[str, int]) -> Way | None:
    kind, _, code = cause.partition(":")
    if cause in (HANDS, HOURS):
        return Way(gettext("Add people or hours on those days"), reverse("kitchen-hours"))
    if cause == VEHICLE:
        return Way(gettext("Enter vehicles"), reverse("kitchen-delivery"))
    if kind == "mold":
        address = reverse("mold-edit", args=[molds[code]]) if code in molds else reverse("molds")
        return Way(gettext("Change how many of “%(name)s” you have") % {"name": code}, address)
    if kind == "station":
        words = gettext("Change the places in %(name)s") % {"name": book.station(code)}
        return Way(words, reverse("kitchen-stations"))
    return None


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
        return gettext("keeping %(name)s until it leaves") % {"name": one.name}
    return gettext("“%(step)s” of %(name)s") % {"step": one.steps[int(at)], "name": one.name}
