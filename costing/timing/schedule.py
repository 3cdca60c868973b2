"""When an order can be ready: steps with stated times, waits and holds, against working hours.

Every step of a chain can start at some minutes and not at others. Those sets are computed from step to step: a step may
start between the least wait and the longest hold after the step before it and, if it needs hands throughout, only
inside working hours. The result is not one schedule but every minute at which a product can be ready, so a window is
answered exactly. Stations count as free here; whether they are free is for the plan to say.

A recipe that several products use may be scheduled at a different time for each of them.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from fractions import Fraction
from functools import cached_property

from costing.timing.spans import Minutes, WorkingHours

DAY = 24 * 60
LOOK_AHEAD = 21 * DAY
"""How far after the first possible minute a schedule is looked for [min]."""


@dataclass(frozen=True, slots=True)
class TimedStep:
    """One step of a recipe or product, for the amount that is made.

    Parameters
    ----------
    name : str
        What is done.
    kind : str
        Mix, prepare, bake, rest, chill, freeze, finish, pack or the like.
    elapsed : int
        How long it takes by the clock [min].
    hands : Fraction
        Minutes of hands it takes, as labor is paid [min].
    wait_min : int
        Least wait before the next step, or before it is used [min].
    hold_max : int or None
        Longest hold before the next step, or before it is used [min]; None without a limit.
    attended : bool
        Whether hands are needed throughout, so that it has to lie in working hours.
    until_c : float or None
        Where cooling takes longer than stated: the temperature the middle has to reach [°C]. `elapsed` is already the
        longer time.
    """

    name: str
    kind: str
    elapsed: int
    hands: Fraction = Fraction(0)
    wait_min: int = 0
    hold_max: int | None = None
    attended: bool = True
    until_c: float | None = None


@dataclass(frozen=True, slots=True)
class Work:
    """A recipe or a product to make: its steps in order, and the recipes that have to be ready before the first step.

    Parameters
    ----------
    code : str
        Its code.
    name : str
        Its name, for sentences.
    steps : tuple of TimedStep
        In order; may be empty.
    needs : tuple of str
        Codes of the recipes its first step uses.
    """

    code: str
    name: str
    steps: tuple[TimedStep, ...]
    needs: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Placed:
    """A scheduled step: its first and last minute [min since 1970-01-01 00:00 UTC]."""

    work: str
    step: TimedStep
    start: int
    end: int


@dataclass(frozen=True, slots=True)
class Obstacle:
    """Why a window does not work: `not_before`, `not_after`, `never` or `closed`, its product, longest step and minute.

    `closed` says that nothing is handed over then, whatever is ready; it has no product.

    `minute` is the first minute that works for `not_before`, the last for `not_after`, None for `never`. `start` and
    `end` are when the step would run for that minute. `until_c` is the step's temperature limit, where cooling
    determines its length [°C].
    """

    kind: str
    product: str
    step: str | None
    minute: int | None
    start: int | None = None
    end: int | None = None
    until_c: float | None = None


@dataclass(frozen=True, slots=True)
class Answer:
    """Whether a window works.

    Parameters
    ----------
    ok : bool
        True when it does.
    reason : Obstacle or None
        Why not, when it does not.
    nearest : tuple of (int, int) or None
        The nearest window of the same length that works [min].
    latest_start : int or None
        When work has to begin at the latest [min]; for the nearest window when the one asked for does not work.
    schedule : tuple of Placed
        A schedule as late as possible for that window, in order of time.
    """

    ok: bool
    reason: Obstacle | None
    nearest: tuple[int, int] | None
    latest_start: int | None
    schedule: tuple[Placed, ...] = ()


@dataclass(frozen=True)
class Timing:
    """The works of one order, with every minute at which each step can end.

    Parameters
    ----------
    works : mapping of str to Work
        Every product and recipe, by code.
    products : tuple of str
        Codes of the products that have to be ready.
    hours : WorkingHours
        When hands are at work.
    not_before : int
        No step starts before this minute.
    look_ahead : int
        How far after that a schedule is searched for [min].
    """

    works: Mapping[str, Work]
    products: tuple[str, ...]
    hours: WorkingHours
    not_before: int
    look_ahead: int = LOOK_AHEAD
    _ends: dict[str, tuple[Minutes, ...]] = field(default_factory=dict, repr=False)

    @cached_property
    def _whole(self) -> Minutes:
        """All minutes of the search."""
        return Minutes.of([(self.not_before, self.last)])

    @cached_property
    def _at_work(self) -> Minutes:
        """The minutes of the search at which somebody works."""
        return self.hours.between(self.not_before, self.last)

    @property
    def last(self) -> int:
        """The last minute of the search."""
        return self.not_before + self.look_ahead

    def ends(self, code: str) -> tuple[Minutes, ...]:
        """Return the minutes at which each step of a work can end; first, those at which the work can begin.

        Parameters
        ----------
        code : str
            Code of a product or recipe.
        """
        if code not in self._ends:
            work = self.works[code]
            reached = self._whole
            for need in work.needs:
                reached &= self.usable(need)
            ends = [reached]
            before: TimedStep | None = None
            for step in work.steps:
                starts = reached if before is None else self._after(reached, before)
                ends.append(self._within(starts & self._starts(step), step.elapsed))
                before, reached = step, ends[-1]
            self._ends[code] = tuple(ends)
        return self._ends[code]

    def usable(self, code: str) -> Minutes:
        """Return the minutes at which a work is ready and not past its longest hold.

        Parameters
        ----------
        code : str
            Code of a product or recipe.
        """
        ends, steps = self.ends(code), self.works[code].steps
        return self._after(ends[-1], steps[-1]) if steps else ends[-1]

    def _after(self, ends: Minutes, step: TimedStep) -> Minutes:
        most = self.look_ahead if step.hold_max is None else max(step.hold_max, step.wait_min)
        return ends.later(step.wait_min, most) & self._whole

    def _within(self, starts: Minutes, minutes: int) -> Minutes:
        return starts.later(minutes, minutes) & self._whole

    def _starts(self, step: TimedStep) -> Minutes:
        if not step.attended:
            return self._whole
        return Minutes.of((first, last - step.elapsed) for first, last in self._at_work.spans)

    def of_one(self, code: str) -> Timing:
        """Return the timing of one product alone; what is known of its works is shared.

        Parameters
        ----------
        code : str
            One of `products`.
        """
        return Timing(self.works, (code,), self.hours, self.not_before, self.look_ahead, self._ends)

    def departures(self) -> Minutes:
        """Return every minute at which all products are ready and none is past its longest hold."""
        together = self._whole
        for code in self.products:
            together &= self.usable(code)
        return together

    def schedule(self, departure: int) -> tuple[Placed, ...]:
        """Schedule every step as late as possible for a departure.

        Parameters
        ----------
        departure : int
            A minute of `departures()`.

        Returns
        -------
        tuple of Placed
            In order of time.

        Raises
        ------
        ValueError
            When some product cannot leave at that minute.
        """
        placed: list[Placed] = []
        for code in self.products:
            self._place(code, departure, placed)
        return tuple(sorted(placed, key=lambda item: (item.start, item.end, item.work)))

    def _place(self, code: str, used_at: int, placed: list[Placed]) -> None:
        """Walk a chain backwards, each step as late as its successor allows.

        Moving a step later never forces its predecessor to be earlier, so choosing the latest time step by step gives
        the latest schedule overall.
        """
        work, ends = self.works[code], self.ends(code)
        for i in reversed(range(len(work.steps))):
            step = work.steps[i]
            end = ends[i + 1].latest(used_at - step.wait_min)
            if end is None or (step.hold_max is not None and used_at - end > max(step.hold_max, step.wait_min)):
                raise ValueError(f"{work.name} cannot be used at minute {used_at}.")
            used_at = end - step.elapsed
            placed.append(Placed(code, step, used_at, end))
        for need in work.needs:
            self._place(need, used_at, placed)
