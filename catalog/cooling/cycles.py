"""Build cooling cycles: stages from a product's steps, and the body from its mold."""

from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction
from itertools import accumulate
from math import pi

from catalog.records.reasons import Reason
from costing.chilling import (
    AMBIENT,
    COOKED,
    HOT_C,
    PROFILES,
    WARM_C,
    Block,
    Body,
    Cylinder,
    Food,
    Mixture,
    Plan,
    Slab,
    Stage,
    Surroundings,
    food_of,
)
from costing.chilling import Profile as Rule
from costing.contract import Book, Mold, Product, Profile, Station, Step
from costing.contract.steps import COLD, HEATING
from costing.timing.steps import clock_minutes

_COLD_STATIONS = frozenset({"refrigerator", "freezer"})
_WARM_C = Fraction(str(WARM_C))


@dataclass(frozen=True, slots=True)
class Missing:
    """Missing input of cooling: a reason, and the record of the catalog where it can be entered.

    ``kind`` is product, mold, station or ingredients; ``thing`` its code or name.
    """

    reason: Reason
    kind: str
    thing: str = ""


class NotWorkedOut(Exception):
    """Cooling cannot be computed, because input is missing."""

    def __init__(self, code: str, kind: str, thing: str, **params: str) -> None:
        self.missing = Missing(Reason(code, params), kind, thing)
        super().__init__(code)


@dataclass(frozen=True, slots=True)
class CycleStage:
    """A step as a stage of cooling: where, how long [min], and the air temperature [°C].

    ``air_movement`` is a key of ``costing.chilling.AIRS``; without a station the stage is in the kitchen.
    """

    step: Step
    station: Station | None
    minutes: float
    air_c: float
    air_movement: str
    stage: Stage


@dataclass(frozen=True, slots=True)
class CoolingCycle:
    """One cooling cycle: from the step with a leaving temperature through the cold stages after it.

    ``last_at`` is the index of its last step among the product's steps. ``notes`` are remarks about its mold.
    """

    product: Product
    after: Step
    stages: tuple[CycleStage, ...]
    last_at: int
    plan: Plan
    mixture: Mixture
    notes: tuple[Reason, ...]

    @property
    def last(self) -> Step:
        """The step of the last cold stage, which lasts until it is cold."""
        return self.stages[-1].step

    @property
    def begins(self) -> list[float]:
        """Start of each stage [min]."""
        return list(accumulate((stage.minutes for stage in self.stages[:-1]), initial=0.0))

    @property
    def before_last(self) -> float:
        """Total minutes of the stages before the last."""
        return self.begins[-1]

    @property
    def stated(self) -> float:
        """Total stated minutes of all stages."""
        return sum(stage.minutes for stage in self.stages)


def cycles_of(product: Product, mixture: Mixture, book: Book) -> list[CoolingCycle]:
    """Return the product's cooling cycles, one for each step with a leaving temperature.

    Raises
    ------
    NotWorkedOut
        When a mold, a height, a station's air or a cold stage is missing.
    """
    starts = [at for at, step in enumerate(product.steps) if step.leaves_c is not None]
    if not starts:
        return []
    food = food_of(mixture.percent, mixture.air)
    mold = _mold(product, book)
    body, notes = _body(product, mold, mixture, food)
    surroundings = Surroundings(mold.wall, product.stands_on, product.covered)
    profile = book.kitchen.described
    found = []
    for at in starts:
        after = product.steps[at]
        staged = list(_stages(product, at, surroundings, book))
        plan = Plan(
            body=body,
            food=food,
            initial_c=float(after.leaves_c or 0),
            stages=tuple(stage.stage for _, stage in staged),
            rule=rule_for(product, after, profile),
            surroundings=surroundings,
        )
        stages = tuple(stage for _, stage in staged)
        found.append(CoolingCycle(product, after, stages, staged[-1][0], plan, mixture, notes))
    return found


def rule_for(product: Product, after: Step, profile: Profile) -> Rule:
    """Return the food-safety rule for the cycle after a step, in the kitchen's air and with the limit of the house."""
    hot = after.kind in HEATING or float(after.leaves_c or 0) >= HOT_C
    cooked = product.cooling_rule == "cooked" or (not product.cooling_rule and hot)
    return rule_of(profile, cooked=cooked)


def rule_of(profile: Profile, *, cooked: bool = True) -> Rule:
    """Return the food-safety rule of a kitchen; ``cooked`` says which where there is one for cooked food."""
    code = (COOKED if cooked else AMBIENT) if profile.food_safety == "us" else profile.food_safety
    rule = PROFILES[code].in_room(float(profile.room_c))
    return rule.with_house_limit(profile.time_out_minutes, profile.time_out_source)


def _stages(product: Product, start: int, surroundings: Surroundings, book: Book) -> Iterator[tuple[int, CycleStage]]:
    """Yield the steps after a step as stages, with their index: those in the room, then consecutive cold stages."""
    cold = False
    after = product.steps[start]
    for at, step in enumerate(product.steps[start + 1 :], start + 1):
        station = None if step.station is None else book.station(step.station)
        in_cold = _is_cold(step, station)
        if step.leaves_c is not None or (cold and not in_cold):
            break
        cold = cold or in_cold
        minutes = float(clock_minutes(step, 1, Fraction(product.load or 1)) + (step.wait_min or 0))
        if minutes:
            air = _cold_air_c(step, station, product) if in_cold else _room_air_c(step, station, book)
            air_movement = _air_movement(step, station, in_cold=in_cold)
            yield (
                at,
                CycleStage(step, station, minutes, air, air_movement, surroundings.stage(air_movement, minutes, air)),
            )
    if not cold:
        raise NotWorkedOut("no_cold_stage", "product", product.code, step=str(after))


def _is_cold(step: Step, station: Station | None) -> bool:
    """Return whether a step is a cold stage, judged by its kind and its station."""
    if not step.waits:
        return False
    if station is None:
        return step.kind in COLD
    if station.air_c is not None:
        return station.air_c < _WARM_C
    return station.kind in _COLD_STATIONS


def _cold_air_c(step: Step, station: Station | None, product: Product) -> float:
    if station is None:
        raise NotWorkedOut("no_refrigerator", "product", product.code, step=str(step))
    if station.air_c is None:
        raise NotWorkedOut("no_air", "station", station.code, station=str(station))
    return float(station.air_c)


def _room_air_c(step: Step, station: Station | None, book: Book) -> float:
    stated = station.air_c if station and step.waits else None
    return float(book.kitchen.described.room_c if stated is None else stated)


def _air_movement(step: Step, station: Station | None, *, in_cold: bool) -> str:
    """Return how the air of a step moves, as a key of the film coefficients in `costing`."""
    if station is None or not step.waits:
        return "room"
    if station.air != "still":
        return station.air
    return "still" if in_cold else "room"


def _mold(product: Product, book: Book) -> Mold:
    if product.mold is None:
        raise NotWorkedOut("no_mold", "product", product.code, product=product.name)
    return book.mold(product.mold)


def _body(product: Product, mold: Mold, mixture: Mixture, food: Food) -> tuple[Body, tuple[Reason, ...]]:
    """Return the shape that cools, and remarks about it.

    Raises
    ------
    NotWorkedOut
        When the mold has no measures, or the height is missing and cannot be computed.
    """
    floor_cm2 = _floor_cm2(mold)
    if floor_cm2 is None:
        raise NotWorkedOut("no_measures", "mold", mold.name, mold=mold.name)
    full = mixture.grams / (food.rho / 1000) / floor_cm2
    tray = mold.shape == "tray"
    if product.fill_height_cm is None and tray:
        raise NotWorkedOut("no_height", "product", product.code, mold=mold.name, product=product.name)
    height = full if product.fill_height_cm is None else float(product.fill_height_cm)
    return _shaped(mold, height * 10), () if tray else tuple(_odd(product, mold, height, full))


def _floor_cm2(mold: Mold) -> float | None:
    if mold.shape == "round":
        return None if mold.diameter_cm is None else pi * float(mold.diameter_cm) ** 2 / 4
    if mold.length_cm is None or mold.width_cm is None:
        return None
    return float(mold.length_cm) * float(mold.width_cm)


def _shaped(mold: Mold, height_mm: float) -> Body:
    if mold.shape == "tray":
        return Slab(height_mm)
    if mold.shape == "round":
        return Cylinder(float(mold.diameter_cm or 0) * 10, height_mm)
    return Block(float(mold.length_cm or 0) * 10, float(mold.width_cm or 0) * 10, height_mm)


def mold_body(mold: Mold, height_mm: float) -> Body | None:
    """Return the body that another mold would hold at this height; None when its measures are not entered."""
    return None if _floor_cm2(mold) is None else _shaped(mold, height_mm)


def _odd(product: Product, mold: Mold, height: float, full: float) -> Iterator[Reason]:
    if product.fill_height_cm is None:
        yield Reason("height_follows", {"height": full, "mold": mold.name})
    elif abs(full / height - 1) > 0.25:
        yield Reason("height_differs", {"full": full, "height": height, "mold": mold.name})
    if mold.height_cm is not None and height > float(mold.height_cm) * 1.001:
        yield Reason("mold_lower", {"height": mold.height_cm, "mold": mold.name})
