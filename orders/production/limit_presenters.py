"""Until when what was hot has to be down at each limit, by the clock: each load, or each batch, by its own time."""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from datetime import datetime, timedelta
from typing import Final, Literal

from django.utils.translation import gettext
from django.utils.translation import gettext_noop as marked

from catalog.cooling.missing_presenters import note_sentence
from catalog.cooling.stages import CoolingCycle
from catalog.cooling.warm_waits import warm_parts_of
from catalog.web import display
from costing.chilling import Plan, due_times
from costing.timing.loads import LoadTimes
from costing.timing.spans import WorkingHours
from orders.orders.models import Order
from orders.production.cold_room import Begun
from orders.production.demand import Demand
from orders.production.loads import most_loads_of_a_day
from orders.quotes.cooling.planned import is_staffed

#: So many loads have a line of limits each; of more the first and the last have.
_EACH: Final = 3
Kind = Literal["load", "batch"]
_NUMBERED: Final[Mapping[Kind, str]] = {
    "load": marked("load %(number)s of %(count)s: %(limits)s"),
    "batch": marked("batch %(number)s of %(count)s: %(limits)s"),
}
_EVERY: Final = marked("then one every %(minutes)s")
_FROM_FIRST: Final[Mapping[Kind, str]] = {
    "load": marked("%(limits)s, for every load: the clock begins when the first one leaves"),
    "batch": marked("%(limits)s, for every batch: the clock begins when the first one leaves"),
}
_OWN: Final[Mapping[Kind, str]] = {
    "load": marked("%(limits)s, each load from when it leaves"),
    "batch": marked("%(limits)s, each batch from when it leaves"),
}
_READ: Final[Mapping[Kind, str]] = {
    "load": marked("load %(number)s by %(time)s"),
    "batch": marked("batch %(number)s by %(time)s"),
}


def limits_by_load(
    plan: Plan,
    ends: datetime | None,
    loads: LoadTimes,
    kind: Kind,
    hours: WorkingHours | None = None,
    leaves: datetime | None = None,
) -> str:
    """Write until when each load has to be down at each limit; ``ends`` is when its step ends as planned for all.

    What is due outside the ``hours`` is said once, after all: somebody has to be there to measure. What would be due
    only after it ``leaves`` is due before that.
    """
    if not due(plan):
        return ""
    words = _limits_by_load(plan, ends, loads, kind, leaves)
    written = [] if ends is None else sorted(set(_written(plan, ends, loads, leaves)))
    outside = [moment for moment in written if not is_staffed(moment, hours)]
    if not outside:
        return words
    if len(outside) == len(written):
        return gettext("%(limits)s (outside working hours)") % {"limits": words}
    times = display.joined([_clock(moment, ends or moment) for moment in outside])
    return gettext("%(limits)s (outside working hours: %(times)s)") % {"limits": words, "times": times}


def _limits_by_load(plan: Plan, ends: datetime | None, loads: LoadTimes, kind: Kind, leaves: datetime | None) -> str:
    count = loads.count
    if ends is None or count == 1:
        limits = display_limits(plan, ends, leaves=leaves)
        return limits if count == 1 else gettext(_OWN[kind]) % {"limits": limits}
    if not loads.known:
        facts = {"limits": display_limits(plan, load_leaves(ends, loads), leaves=leaves), "count": count}
        return gettext(_FROM_FIRST[kind]) % facts
    return "; ".join(_each_load(plan, ends, loads, kind, leaves))


def _written(plan: Plan, ends: datetime, loads: LoadTimes, leaves: datetime | None) -> Iterator[datetime]:
    """Yield the times that are written; not what is due before it leaves."""
    for number in _named(loads) if loads.count > 1 and loads.known else (1,):
        for _, minutes in due(plan):
            moment = load_leaves(ends, loads, number) + timedelta(minutes=minutes)
            if leaves is None or moment <= leaves:
                yield moment


def _each_load(plan: Plan, ends: datetime, loads: LoadTimes, kind: Kind, leaves: datetime | None) -> Iterator[str]:
    first = load_leaves(ends, loads)
    for number in _named(loads):
        if number == loads.count and loads.count > _EACH and loads.every_min is not None:
            yield gettext(_EVERY) % {"minutes": display.duration(loads.every_min)}
        limits = display_limits(plan, load_leaves(ends, loads, number), first, leaves)
        yield gettext(_NUMBERED[kind]) % {"number": number, "count": loads.count, "limits": limits}


def _named(loads: LoadTimes) -> Sequence[int]:
    if loads.count <= _EACH or loads.every_min is None:
        return range(1, loads.count + 1)
    return 1, loads.count


def load_leaves(ends: datetime, loads: LoadTimes, number: int = 1) -> datetime:
    """Return when a load leaves the step after which it cools, the first one without a number."""
    return ends + timedelta(minutes=loads.leaves(number))


def due(plan: Plan) -> list[tuple[float, float]]:
    """Return the limits that what cools is above at first [°C], and within how long after the heat it is down [min]."""
    every = due_times(plan.rule.legs, hot_before_min=plan.hot_before_min)
    return [(limit_c, minutes) for limit_c, minutes in every if plan.case.hottest_c > limit_c]


def clocks_words(plan: Plan) -> str:
    """Write from when the times by the clock count and from when the verdict does; empty where both are the same."""
    begins = plan.rule.legs[0].from_c if plan.rule.legs else None
    if begins is None or plan.hot_before_min or plan.case.hottest_c <= begins or not due(plan):
        return ""
    text = gettext("The times to measure by count from the heat, to be safe; the verdict counts from %(limit)s.")
    return text % {"limit": display.temperature(begins)}


def display_limits(
    plan: Plan,
    ends: datetime | None,
    day_of: datetime | None = None,
    leaves: datetime | None = None,
) -> str:
    """Write until when it has to be down at each limit: 70 °F by 11:20 AM, 41 °F by 3:20 PM.

    A moment of another day than ``day_of``, else than ``ends``, is written with its day.
    """
    return ", ".join(_by(limit_c, minutes, ends, day_of, leaves) for limit_c, minutes in due(plan))


def readings_by_load(plan: Plan, ends: datetime | None, loads: LoadTimes, kind: Kind) -> tuple[str, ...]:
    """Write each limit that is read, with the time by which: of several loads that of the first and of the last."""
    if ends is None or loads.count == 1 or not loads.known:
        begins = None if ends is None else load_leaves(ends, loads)
        return tuple(_by(limit_c, minutes, begins, None) for limit_c, minutes in due(plan))
    return tuple(
        f"{display.temperature(limit_c)}, {_read_by(minutes, ends, loads, kind)}" for limit_c, minutes in due(plan)
    )


def _read_by(minutes: float, ends: datetime, loads: LoadTimes, kind: Kind) -> str:
    first = load_leaves(ends, loads)
    each = (
        {"number": number, "time": _clock(load_leaves(ends, loads, number) + timedelta(minutes=minutes), first)}
        for number in _named(loads)
    )
    return ", ".join(gettext(_READ[kind]) % one for one in each)


def _by(
    limit_c: float,
    minutes: float,
    ends: datetime | None,
    day_of: datetime | None,
    leaves: datetime | None = None,
) -> str:
    limit = display.temperature(limit_c)
    if ends is None:
        return gettext("%(limit)s within %(time)s") % {"limit": limit, "time": display.duration(minutes)}
    moment = ends + timedelta(minutes=minutes)
    if leaves is not None and moment > leaves:
        return gettext("%(limit)s before it leaves at %(time)s") % {"limit": limit, "time": display.clock(leaves)}
    return gettext("%(limit)s by %(time)s") % {"limit": limit, "time": _clock(moment, day_of or ends)}


def _clock(moment: datetime, day_of: datetime) -> str:
    return display.clock(moment) if display.day(moment) == display.day(day_of) else display.moment(moment)


def limits_words(begun: Begun) -> str:
    """Write until when a product has to be down at each limit after a step; empty where there is none."""
    cycle, ends, loads = begun.cycle, begun.ends, begun.loads
    limits = limits_by_load(cycle.plan, ends, loads, "load", begun.hours, begun.leaves)
    if not limits:
        return ""
    facts = {"step": _step(cycle), "limits": limits}
    if ends is None:
        words = gettext("After “%(step)s”: %(limits)s.") % facts
    else:
        facts["moment"] = display.moment(load_leaves(ends, loads))
        words = gettext("After “%(step)s”, planned for %(moment)s: %(limits)s.") % facts
    return " ".join(filter(None, (words, clocks_words(cycle.plan))))


def _step(cycle: CoolingCycle) -> str:
    return str(cycle.after)


def made_limits(coolings: Mapping[tuple[int, str], Iterable[Begun]], orders: Sequence[Order]) -> dict[str, list[str]]:
    """Write by product until when it has to be down at each limit; with the order's number where several make it."""
    found: dict[str, list[tuple[str, str]]] = {}
    for order in orders:
        for (pk, code), each in coolings.items():
            if pk == order.pk:
                words = [(order.number, sentence) for one in each if (sentence := limits_words(one))]
                found.setdefault(code, []).extend(words)
    several = {code: len({number for number, _ in each}) > 1 for code, each in found.items()}
    return {
        code: list(dict.fromkeys(f"{number}: {words}" if several[code] else words for number, words in each))
        for code, each in found.items()
    }


def waits_words(found: Demand) -> dict[str, list[str]]:
    """Write by product what waits warm too long while the loads for one day's orders are filled, and what helps."""
    return {
        code: [
            note_sentence(reason)
            for part in warm_parts_of(found.book.product(code), found.book)
            if (reason := part.too_long(most_loads_of_a_day(found, code))) is not None
        ]
        for code in found.units
    }
