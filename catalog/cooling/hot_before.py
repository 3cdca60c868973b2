"""How long what begins to cool had left the heat: known from the steps before, or not known."""

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass

from catalog.cooling.missing import NotWorkedOut
from catalog.cooling.stages import Made, is_cold, station_of
from catalog.recipes.heat_words import heating_word
from catalog.records.reasons import Reason
from costing.chilling import HOT_C, LUKEWARM_C
from costing.chilling import Profile as Rule
from costing.contract import Book, Step
from costing.timing.steps import clock_minutes

#: A temperature entered as a limit itself may differ from it by its rounding [°C].
_ROUNDING = 0.05


@dataclass(frozen=True, slots=True)
class HotPart:
    """A component that comes hot: the place of the step at which it goes in, and how long it had left the heat [min].

    ``minutes`` is None where nothing says it.
    """

    at: int
    minutes: float | None


def hot_before(
    made: Made, at: int, start_c: float, rule: Rule, *, begins: int = 0, parts: Iterable[HotPart] = ()
) -> float:
    """Return how long cooked food had left the heat where a step leaves it [min]; 0 where it is still hot then.

    ``start_c`` is how warm it is then [°C], ``begins`` the place of the first step since it was in the cold. Work and
    waits after the last step that leaves it hot count, so the clock does not start anew at a later step: not at one
    that only warms it either.

    Raises
    ------
    NotWorkedOut
        When the steps do not say it, or only that it may have passed the first limit too late.
    """
    first = rule.legs[0] if rule.legs else None
    step = made.of.steps[at]
    if first is None or first.from_c is None or start_c >= first.from_c - _ROUNDING:
        return 0.0
    heats = [place for place in range(begins, at) if _leaves_hot(made.of.steps[place], first.from_c)]
    if step.heats and not heats:
        return 0.0
    found = _longest(made, at, heats, parts)
    passed = start_c <= max(first.to_c, LUKEWARM_C)
    if found is None or (passed and found > first.minutes):
        limits = {"from_c": first.from_c, "to_c": first.to_c, "minutes": first.minutes}
        raise NotWorkedOut("hot_before", made.kind, made.of.code, step=str(step), start_c=start_c, **limits)
    return found


def check_off_heat(made: Made, at: int, book: Book) -> None:
    """Refuse a step that heats and is stated to leave colder than anything comes off the heat.

    That is what somebody enters who reads “leaves at” as how cold it is at last: judged from there, it would keep any
    rule. What is baked, or heated at a stated temperature, comes off hot; all else, melted or warmed, no colder than
    the kitchen. So is what is called after heat by its first word, whatever its kind.

    Raises
    ------
    NotWorkedOut
        When it is.
    """
    step = made.of.steps[at]
    called = heating_word(step.name.partition(" ")[0])
    if step.leaves_c is None or not (step.heats or called):
        return
    hot = step.kind == "bake" or (step.temperature_c is not None and float(step.temperature_c) >= HOT_C)
    least_c = HOT_C if hot and step.heats else float(book.kitchen.described.room_c)
    if float(step.leaves_c) < least_c - _ROUNDING:
        facts = {"step": str(step), "stated_c": float(step.leaves_c), "least_c": least_c}
        raise NotWorkedOut("off_heat_cold", made.kind, made.of.code, **facts)


def _longest(made: Made, at: int, heats: Sequence[int], parts: Iterable[HotPart]) -> float | None:
    """Return the longest time since the last step that leaves it hot, or since a part went in hot after that."""
    steps = made.of.steps
    last = heats[-1] if heats else -1
    each = [part for part in parts if part.at > last]
    if any(part.minutes is None for part in each):
        return None
    # What goes in hot only later, while it cools, had not left the heat yet.
    found = [(part.minutes or 0) + minutes_between(made, part.at, at) if part.at <= at else 0.0 for part in each]
    if heats:
        since, bath = minutes_between(made, last, at), steps[last].bath_min
        # No food gets colder in no time, and nobody states how long an ice bath is that goes by temperature.
        if (steps[last].ice_bath and bath is None) or not (since or bath):
            return None
        found.append(since + float(bath or 0))
    return max(found, default=None)


def heat_notes(after: Step, minutes: float) -> tuple[Reason, ...]:
    """Return the remark on what had left the heat before the step after which it cools [min]; none where it had not."""
    return (Reason("since_heat", {"step": str(after), "minutes": minutes}),) if minutes else ()


def is_hot_at(step: Step, hot_c: float) -> bool:
    """Return whether a step heats, or leaves what it makes as warm as that [°C]."""
    return step.heats or (step.leaves_c is not None and float(step.leaves_c) >= hot_c - _ROUNDING)


def _leaves_hot(step: Step, hot_c: float) -> bool:
    """Return whether a step leaves it hot: as it states, else where it heats."""
    return step.heats if step.leaves_c is None else float(step.leaves_c) >= hot_c - _ROUNDING


def minutes_between(made: Made, first: int, last: int) -> float:
    """Return the minutes from the end of one step to the end of a later one, with the least waits between [min]."""
    steps = made.of.steps
    waits = sum(float(step.wait_min or 0) for step in steps[first:last])
    return waits + sum(float(clock_minutes(step, 1, made.amount)) for step in steps[first + 1 : last + 1])


def goes_on_later(steps: Sequence[Step], at: int, book: Book) -> bool:
    """Return whether how warm it is is stated anew before any cold: it is judged from there."""
    for step in steps[at + 1 :]:
        if step.leaves_c is not None:
            return True
        if is_cold(step, station_of(step, book)):
            return False
    return False


def may_heat(step: Step) -> bool:
    """Return whether a step heats, by what it states or by what it is called."""
    return step.heats or bool(heating_word(step.name))


def since_judged(steps: Sequence[Step], at: int, book: Book, stable: Callable[[int], bool] = lambda _: False) -> int:
    """Return the place of the first step, up to one, since what is made was cold after all of its stated heat.

    A stay in the cold ends no heat of which nobody stated how warm it left; ``stable`` tells of the place of a step
    whether all that is in it by then is safe at room temperature, so that its heat is of no account.
    """
    begins, unsaid = 0, False
    for place, step in enumerate(steps[:at]):
        if step.leaves_c is not None:
            unsaid = False
        elif may_heat(step):
            unsaid = unsaid or not stable(place)
        elif is_cold(step, station_of(step, book)) and not unsaid:
            begins = place + 1
    return begins


def since_cold(steps: Sequence[Step], at: int, book: Book) -> int:
    """Return the place of the first step, up to one, since what is made was in the cold."""
    cold = (place for place in range(at - 1, -1, -1) if is_cold(steps[place], station_of(steps[place], book)))
    return next(cold, -1) + 1
