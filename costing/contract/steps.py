"""A step of work or waiting, and the labor and station time computed from steps.

Labor and station costs of a recipe or product are always computed from its steps. For a document that states labor and
station time without steps, plain steps are made from them.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from fractions import Fraction
from typing import Final

ZERO = Fraction(0)

KINDS: Final[Mapping[str, str]] = {
    "prepare": "prepare",
    "mix": "mix",
    "cook": "cook",
    "bake": "bake",
    "rest": "rest or cool",
    "chill": "chill",
    "freeze": "freeze",
    "fill": "fill or assemble",
    "finish": "finish",
    "pack": "pack",
    "work": "other work",
}
"""Kind of a step -> what a step without a name of its own is called."""
COLD: Final = frozenset({"chill", "freeze"})
"""Kinds of step in a cold place."""
WAITING: Final = COLD | {"rest"}
"""Kinds of step that need nobody: they run through the night."""
HEATING: Final = frozenset({"bake", "cook"})
"""Kinds of step that make it hot."""
UNATTENDED: Final = COLD | {"rest", "bake"}
"""Kinds of step that need somebody only when they begin and end, unless one states otherwise; common practice, no
source."""
HEATS_C: Final = Fraction(57)
"""From which stated temperature on a step of any kind makes it hot [°C].

The US Food Code lets hot food cool from 57 °C (135 °F; 2022, 3-501.14(A))."""
KIND_AT: Final[Mapping[str, str]] = {"oven": "bake", "refrigerator": "chill", "freezer": "freeze", "rack": "rest"}
"""Kind of a station -> kind of a step of which only its time there is known."""


@dataclass(frozen=True, slots=True)
class Step:
    """One step of a recipe or a product; times in minutes.

    Minutes of hands are stated per batch of a recipe or load of a product, and per kilogram or unit made. `minutes` is
    the elapsed time where that is more than its hands; `wait_min` and `hold_max` are the least wait and the longest
    hold before the next step, or before hand-over. `leaves_c` is the temperature of the middle when the step ends [°C],
    where cooling starts.

    A recipe's step with `leaves_c` may say in which `vessel` the batch then stands, divided over how many (`vessels`;
    None: as many as needed), how deep at most (`depth_cm` [cm]), whether it is `covered` while it cools, and that it
    stands in an ice bath first, stirred every `stir_min` [min], until its middle is at `bath_to_c` [°C] or for
    `bath_min` [min]; without either until the rule's first limit if a stay in the cold follows, else until it is cold.
    A product's step may say which components it `takes`, how warm they are then (`takes_c` [°C]; None: `leaves_c` was
    measured after they went in) and how they join what is there (`takes_as`: `mixed`, or a `layer` on top).
    `attended` states whether somebody is needed `throughout` or only at its beginning and end (`ends`); empty: as is
    usual for its kind. `at_oven` is set by the Book, where its station is an oven.
    """

    kind: str
    name: str = ""
    role: str | None = None
    hands_fixed: Fraction = ZERO
    hands_each: Fraction = ZERO
    station: str | None = None
    minutes: Fraction | None = None
    temperature_c: Fraction | None = None
    wait_min: Fraction | None = None
    hold_max: Fraction | None = None
    text: str = ""
    leaves_c: Fraction | None = None
    vessel: str | None = None
    vessels: int | None = None
    depth_cm: Fraction | None = None
    covered: bool = field(default=False, repr=False)
    ice_bath: bool = False
    stir_min: Fraction | None = None
    bath_to_c: Fraction | None = None
    bath_min: Fraction | None = None
    takes: tuple[str, ...] = ()
    takes_c: Fraction | None = None
    takes_as: str = "mixed"
    attended: str = ""
    at_oven: bool = field(default=False, repr=False, compare=False)

    def __str__(self) -> str:
        return self.name or KINDS.get(self.kind, self.kind)

    @property
    def waits(self) -> bool:
        """Whether it needs no hands and may run outside working hours."""
        return self.kind in WAITING

    @property
    def needs_somebody_throughout(self) -> bool:
        """Whether somebody is there all the time, as stated or usual for its kind; else when it begins and ends."""
        return self.attended == "throughout" if self.attended else self.kind not in UNATTENDED

    @property
    def heats(self) -> bool:
        """Whether it makes it hot: by its kind, a temperature of `HEATS_C` or more, or a stay in an oven.

        A stay in an oven does whatever its kind and name, unless it states a temperature that does not.
        """
        if self.kind in HEATING:
            return True
        if self.temperature_c is not None:
            return self.temperature_c >= HEATS_C
        return self.at_oven and bool(self.minutes or self.hands_fixed or self.hands_each)

    @property
    def leaves_hot(self) -> bool:
        """Whether it is hot when the step ends: as stated, else because the step heats."""
        return self.heats if self.leaves_c is None else self.leaves_c >= HEATS_C


def goes_on_at_once(steps: Sequence[Step]) -> tuple[bool, ...]:
    """Return for each step whether the next begins at once: it is hot then, and nobody said how long it may wait.

    What is hot stands nowhere by default: neither after the step that made it hot, nor after those that follow, where a
    stay in the cold comes. In an ice bath without one it stands until it is cold.

    Parameters
    ----------
    steps : sequence of Step
        Of a recipe or product, in order.
    """
    found, hot = [], False
    for at, step in enumerate(steps):
        cold_comes = any(later.kind in COLD for later in steps[at + 1 :])
        hot = step.leaves_hot or (hot and step.leaves_c is None and step.kind not in COLD)
        at_once = hot and (cold_comes or (step.leaves_hot and not step.ice_bath))
        found.append(at_once and step.hold_max is None and at + 1 < len(steps))
    return tuple(found)


@dataclass(frozen=True, slots=True)
class RecipeLabor:
    """Minutes of hands of a recipe [min per batch; min per kg made]."""

    role: str
    per_batch: Fraction = ZERO
    per_kg: Fraction = ZERO


@dataclass(frozen=True, slots=True)
class ProductLabor:
    """Minutes of hands of a product [min per load; min per unit made]."""

    role: str
    per_load: Fraction = ZERO
    per_unit: Fraction = ZERO


@dataclass(frozen=True, slots=True)
class StationTime:
    """How long one load occupies a station [min]."""

    station: str
    minutes_per_load: Fraction


def recipe_labor(steps: Iterable[Step]) -> tuple[RecipeLabor, ...]:
    """Return the labor of a recipe: one entry for each step with a role, in their order.

    Parameters
    ----------
    steps : iterable of Step
        The recipe's steps.
    """
    return tuple(RecipeLabor(step.role, step.hands_fixed, step.hands_each) for step in steps if step.role is not None)


def product_labor(steps: Iterable[Step]) -> tuple[ProductLabor, ...]:
    """Return the labor of a product: one entry for each step with a role, in their order.

    Parameters
    ----------
    steps : iterable of Step
        The product's steps.
    """
    return tuple(ProductLabor(step.role, step.hands_fixed, step.hands_each) for step in steps if step.role is not None)


def station_time(steps: Iterable[Step]) -> tuple[StationTime, ...]:
    """Return the station time of a product: one entry for each step at a station, in their order.

    Parameters
    ----------
    steps : iterable of Step
        The product's steps.
    """
    return tuple(StationTime(step.station, step.minutes or ZERO) for step in steps if step.station is not None)


def plain_recipe_steps(labor: Iterable[RecipeLabor]) -> tuple[Step, ...]:
    """Make plain steps from a recipe's labor, for a Book without steps.

    Parameters
    ----------
    labor : iterable of RecipeLabor
        The recipe's labor.
    """
    return tuple(Step("work", role=work.role, hands_fixed=work.per_batch, hands_each=work.per_kg) for work in labor)


def plain_product_steps(
    labor: Iterable[ProductLabor], times: Iterable[StationTime], kinds: Mapping[str, str]
) -> tuple[Step, ...]:
    """Make plain steps from a product's labor and station time, for a Book without steps.

    Parameters
    ----------
    labor : iterable of ProductLabor
        The product's labor.
    times : iterable of StationTime
        Its station time.
    kinds : mapping of str to str
        Code of a station -> its kind.
    """
    work = [Step("work", role=each.role, hands_fixed=each.per_load, hands_each=each.per_unit) for each in labor]
    waits = [
        Step(KIND_AT.get(kinds.get(time.station, ""), "work"), station=time.station, minutes=time.minutes_per_load)
        for time in times
    ]
    return (*work, *waits)
