"""Food-safety profiles: how fast food has to get cold, and the check against them; `food_codes` has their table.

A profile is a list of legs, each from one temperature to another within a time. The Food Code's second leg runs from
57 °C again, so its six hours include those of the first leg, as New Brunswick's do; Australia's runs from 21 °C, for a
further four hours.
Units: the Food Code writes 57 °C (135 °F), 21 °C (70 °F) and 5 °C (41 °F), and only the last pair is equal. The
Fahrenheit figures are the limits here, because they are what its inspectors' thermometers read: the clock starts at
57.22 °C, a little before 57 °C, and the first leg ends at 21.11 °C. Elsewhere the Celsius figures are the limits.

The profiles decide nothing about a food; whether it needs time and temperature control is for its maker and the local
authority to say. The law in force at the place, not this table, binds a kitchen.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from typing import Literal


def celsius(fahrenheit: float) -> float:
    """Convert degrees Fahrenheit to degrees Celsius.

    Parameters
    ----------
    fahrenheit : float
        Temperature [°F].

    Returns
    -------
    float
        Temperature [°C].
    """
    return (fahrenheit - 32) * 5 / 9


HOT_C, LUKEWARM_C, COLD_C = celsius(135), celsius(70), celsius(41)
"""The Food Code's limits [°C]: 57.22, 21.11, 5."""

COOKED, AMBIENT = "us-cooked", "us-ambient"
"""Codes of the two profiles of the United States; every other code stands for one profile."""


@dataclass(frozen=True, slots=True)
class Leg:
    """One part of a profile.

    Parameters
    ----------
    from_c : float or None
        Where its clock starts [°C]; None at minute 0.
    to_c : float
        Where it ends [°C].
    minutes : float
        Within how long [min].
    """

    from_c: float | None
    to_c: float
    minutes: float


Kind = Literal["law", "adopted", "template", "model", "guidance"]
"""What a profile is: law; a model code that is law where a state or county adopted it; a template plan that binds the
business that operates under it; a model code that is not law by itself; guidance."""

BINDING: frozenset[Kind] = frozenset({"law", "adopted", "template"})
"""The kinds that bind somebody."""

Seen = Literal["whole", "excerpt", "secondary"]
"""How a text was read: the whole provision; a part of it, or the authority's own page; by another's account only."""

ClauseKind = Literal["rule", "defence", "accepted", "house"]
"""What a time out of the cold is: part of the rule; a defence that the business has to prove; a method that the
authority accepts as proof of safety; a limit of the house or its authority, entered by the owner."""


@dataclass(frozen=True, slots=True)
class TimeOutClause:
    """A time limit out of the cold, after which food is discarded.

    Parameters
    ----------
    minutes : float
        How long [min].
    warmest_c : float or None
        The highest temperature its warmest part may reach in that time [°C]; None when the rule states none.
    source : str
        Where it is printed, and its other conditions.
    kind : str
        What it is; see `ClauseKind`.
    under : bool
        Whether the time has to be less than that, where others allow just as much.
    back_minutes : float or None
        Below how long it may go back into the cold [min]; None when the rule does not say.
    seen : str
        How it was read; see `Seen`. A limit of the house is the owner's word, not seen by us.
    """

    minutes: float
    warmest_c: float | None
    source: str
    kind: ClauseKind = "rule"
    under: bool = False
    back_minutes: float | None = None
    seen: Seen = "whole"


@dataclass(frozen=True, slots=True)
class Guidance:
    """What is asked of cooling where a rule states no times: no limit, and no verdict comes of it.

    Parameters
    ----------
    minutes : float
        The time it names [min]; what takes longer until it is cold is remarked on.
    title : str
        What it asks for, for people.
    source : str
        Where it is printed, or that it is common practice.
    """

    minutes: float
    title: str
    source: str


@dataclass(frozen=True, slots=True)
class Profile:
    """A rule for cooling food.

    Parameters
    ----------
    code : str
        A short name.
    title : str
        What it is, for people.
    legs : tuple of Leg
        Its parts; none when the rule states no times.
    cold_c : float or None
        The warmest that cold food may be held at [°C]; None when the rule states no temperature.
    source : str
        Where it is printed.
    kind : str
        What it is; see `Kind`.
    seen : str
        How it was read; see `Seen`.
    times_out : tuple of TimeOutClause
        How long cold food may be out of the cold instead of being kept cold; none when it states no such time.
    remark : str
        What else was found, or was not.
    or_room_c : float or None
        An end of its legs [°C] that is the room's temperature where the room is colder.
    divided_into : tuple of str
        Codes of the rules that stand for it since it was divided. Until one of them is chosen, each of its limits is
        the strictest of theirs.
    guidance : Guidance or None
        What is asked of cooling instead; only where it states no times.
    """

    code: str
    title: str
    legs: tuple[Leg, ...]
    cold_c: float | None
    source: str
    kind: Kind = "law"
    seen: Seen = "whole"
    times_out: tuple[TimeOutClause, ...] = ()
    remark: str = ""
    or_room_c: float | None = None
    divided_into: tuple[str, ...] = ()
    guidance: Guidance | None = None

    @property
    def binding(self) -> bool:
        """Whether it binds somebody; guidance and model codes by themselves do not."""
        return self.kind in BINDING

    @property
    def most_out(self) -> float | None:
        """The longest time out of the cold that it allows whatever the temperature [min]; None when it states none."""
        return min((clause.minutes for clause in self.times_out if clause.warmest_c is None), default=None)

    def in_room(self, room_c: float) -> Profile:
        """Return the rule for food that cools in a room.

        Parameters
        ----------
        room_c : float
            The air of the room [°C].

        Returns
        -------
        Profile
            With the room's temperature where the rule asks for it and the room is colder, but never less than what
            counts as cold.
        """
        if self.or_room_c is None or room_c >= self.or_room_c:
            return self
        colder = max(room_c, COLD_C if self.cold_c is None else self.cold_c)
        ends = {self.or_room_c: colder}
        legs = (
            replace(leg, from_c=ends.get(leg.from_c or 0, leg.from_c), to_c=ends.get(leg.to_c, leg.to_c))
            for leg in self.legs
        )
        return replace(self, legs=tuple(legs))

    def with_house_limit(self, minutes: float | None, source: str) -> Profile:
        """Return the rule with a limit of the house or its authority, where that is the shorter one.

        Parameters
        ----------
        minutes : float or None
            The longest time out of the cold [min]; None for no such limit.
        source : str
            Whose limit it is, in the owner's words.
        """
        if minutes is None or (self.most_out is not None and self.most_out <= minutes):
            return self
        return replace(self, times_out=(TimeOutClause(minutes, None, source, kind="house"), *self.times_out))


@dataclass(frozen=True, slots=True)
class LegResult:
    """The result of one leg for a body.

    Parameters
    ----------
    leg : Leg
        The leg.
    minutes : float or None
        How long it takes [min]; None when the end is not reached in the stages.
    """

    leg: Leg
    minutes: float | None

    @property
    def met(self) -> bool:
        """Whether the leg is met: its end is reached in time."""
        return self.minutes is not None and self.minutes <= self.leg.minutes

    @property
    def margin(self) -> float | None:
        """The time left to the limit, as a share of the limit [1]; None when the end is not reached."""
        return None if self.minutes is None else abs(self.minutes / self.leg.minutes - 1)


Times = Callable[[float], float | None]
"""Temperature [°C] -> when a point first falls through it [min]; None when it begins below or never does."""


def results(profile: Profile, initial_c: float, times: Times, *, hot_before_min: float = 0.0) -> tuple[LegResult, ...]:
    """Check a cooling point against every leg of a profile.

    For a point that begins below the leg's start temperature the clock has run since it left the heat: for
    `hot_before_min` at minute 0. A leg whose end lies before minute 0 counts as long as all of that: it took no longer.

    Parameters
    ----------
    profile : Profile
        The rule.
    initial_c : float
        Temperature at minute 0 [°C].
    times : callable
        When the point falls through a temperature.
    hot_before_min : float, optional
        How long it had left the heat at minute 0 [min].

    Returns
    -------
    tuple of LegResult
        One for each leg.
    """
    return tuple(LegResult(leg, _lasted(leg, initial_c, times, hot_before_min)) for leg in profile.legs)


def due_times(
    legs: Sequence[Leg], reached: Times = lambda _: None, *, hot_before_min: float = 0.0
) -> list[tuple[float, float]]:
    """Return by when each limit of a rule has to be reached, counted from the start of cooling.

    A leg that begins colder than the first one begins when that temperature was reached; where that is not known it is
    counted from the latest moment at which the leg before may end.

    Parameters
    ----------
    legs : sequence of Leg
        The rule's legs.
    reached : callable, optional
        When a temperature was measured to be reached [min]; None where it was not.
    hot_before_min : float, optional
        How long it had left the heat at the start of cooling [min].

    Returns
    -------
    list of tuple of float
        Where each leg ends [°C], and by when [min].
    """
    found: list[tuple[float, float]] = []
    hottest = legs[0].from_c if legs else None
    for leg in legs:
        begins: float | None = 0.0 if leg.from_c is None else -hot_before_min
        if leg.from_c is not None and hottest is not None and leg.from_c < hottest:
            begins = reached(leg.from_c)
            begins = found[-1][1] if begins is None else begins
        found.append((leg.to_c, (begins or 0.0) + leg.minutes))
    return found


def _lasted(leg: Leg, initial_c: float, times: Times, hot_before_min: float) -> float | None:
    end = 0.0 if initial_c < leg.to_c else times(leg.to_c)
    start: float | None = 0.0
    if leg.from_c is not None:
        start = -hot_before_min if initial_c < leg.from_c else times(leg.from_c)
    return None if start is None or end is None else end - start
