"""From a product's steps to the stages it cools through, and from its mold to the body that cools."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from decimal import Decimal
from itertools import accumulate
from math import pi

from catalog.cooling.missing import NotWorkedOut, Place
from catalog.kitchen.models import Kitchen
from catalog.molds.models import Mold
from catalog.products.models import Product, ProductStep
from catalog.rates.models import Station
from catalog.recipes.models import WAITING, Step
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

HEATING = frozenset({Step.Kind.BAKE, Step.Kind.COOK})
_COLD_KINDS = frozenset({Station.Kind.REFRIGERATOR, Station.Kind.FREEZER})


@dataclass(frozen=True, slots=True)
class CycleStage:
    """A step as a stage of air: what it is called, how long [min], and the air it stands in [°C].

    ``moving`` is how that air moves, a key of ``costing.chilling.AIRS``.
    """

    step: ProductStep
    minutes: float
    air_c: float
    moving: str
    stage: Stage

    @property
    def station(self) -> str:
        """The station it stands in; empty for the room."""
        return str(self.step.station) if self.step.station else ""


@dataclass(frozen=True, slots=True)
class CoolingCycle:
    """One cooling cycle: from the step that says how warm it leaves, through the cold."""

    product: Product
    after: ProductStep
    stages: tuple[CycleStage, ...]
    plan: Plan
    mixture: Mixture
    notes: tuple[Reason, ...]

    @property
    def last(self) -> ProductStep:
        """The cold stage that lasts until it is cold."""
        return self.stages[-1].step

    @property
    def begins(self) -> list[float]:
        """When each stage begins [min]."""
        return list(accumulate((stage.minutes for stage in self.stages[:-1]), initial=0.0))

    @property
    def before_last(self) -> float:
        """How long the stages before the last take [min]."""
        return self.begins[-1]

    @property
    def stated(self) -> float:
        """How long all stages take as stated [min]."""
        return sum(stage.minutes for stage in self.stages)


def cycles_of(product: Product, steps: Sequence[ProductStep], mixture: Mixture, kitchen: Kitchen) -> list[CoolingCycle]:
    """Return the product's cooling, one for each step that says how warm it leaves.

    Raises
    ------
    NotWorkedOut
        When a mold, a height, a station's air or a cold stage is missing.
    """
    starts = [at for at, step in enumerate(steps) if step.leaves_c is not None]
    if not starts:
        return []
    food = food_of(mixture.percent, mixture.air)
    body, notes = body_of(product, mixture, food)
    found = []
    for at in starts:
        after = steps[at]
        stages = tuple(_stages(product, after, steps[at + 1 :], kitchen))
        plan = Plan(
            body=body,
            food=food,
            initial_c=float(after.leaves_c or 0),
            stages=tuple(each.stage for each in stages),
            rule=rule_for(product, after, kitchen),
            surroundings=_surroundings(product),
        )
        found.append(CoolingCycle(product, after, stages, plan, mixture, notes))
    return found


def rule_for(product: Product, after: ProductStep, kitchen: Kitchen) -> Rule:
    """Return the rule in force for what cools after a step."""
    if kitchen.food_safety != Kitchen.FoodSafety.US:
        return PROFILES[kitchen.food_safety]
    hot = after.kind in HEATING or float(after.leaves_c or 0) >= HOT_C
    cooked = product.cooling_rule == Product.CoolingRule.COOKED or (not product.cooling_rule and hot)
    return PROFILES[COOKED if cooked else AMBIENT]


def _stages(
    product: Product, after: ProductStep, following: Sequence[ProductStep], kitchen: Kitchen
) -> Iterator[CycleStage]:
    """Take what follows as stages: first in the room, then the cold stages that follow each other."""
    cold = False
    for step in following:
        if step.leaves_c is not None or (cold and not _is_cold(step)):
            break
        cold = cold or _is_cold(step)
        minutes = _minutes(product, step)
        if minutes:
            air = _air_c(step, kitchen, product)
            moving = _moving(step)
            yield CycleStage(step, minutes, air, moving, _surroundings(product).stage(moving, minutes, air))
    if not cold:
        raise NotWorkedOut("no_cold_stage", _edit(product), step=str(after))


def _is_cold(step: ProductStep) -> bool:
    """Tell whether a step is a cold stage, as far as its kind and its station say."""
    if step.kind not in WAITING:
        return False
    if step.station is None:
        return step.kind != Step.Kind.REST
    if step.station.air_c is not None:
        return bool(step.station.air_c < Decimal(str(WARM_C)))
    return step.station.kind in _COLD_KINDS


def _minutes(product: Product, step: ProductStep) -> float:
    """Return how long a step takes for one load, the least wait after it counted."""
    hands = 0.0
    if step.kind not in WAITING:
        hands = float(step.hands_fixed) + float(step.hands_each) * (product.load or 1)
    return max(float(step.minutes or 0), hands) + float(step.wait_min or 0)


def _air_c(step: ProductStep, kitchen: Kitchen, product: Product) -> float:
    if not _is_cold(step):
        stated = step.station.air_c if step.station and step.kind in WAITING else None
        return float(kitchen.room_c if stated is None else stated)
    if step.station is None:
        raise NotWorkedOut("no_refrigerator", _edit(product), step=str(step))
    if step.station.air_c is None:
        raise NotWorkedOut("no_air", Place("station", step.station_id), station=str(step.station))
    return float(step.station.air_c)


def _moving(step: ProductStep) -> str:
    """Return how the air of a step moves, by the words `costing` knows films for."""
    if step.station is None or step.kind not in WAITING:
        return "room"
    if step.station.air != Station.Air.STILL:
        return step.station.air
    return "still" if _is_cold(step) else "room"


def _surroundings(product: Product) -> Surroundings:
    wall = product.mold.wall if product.mold else Mold.Wall.METAL
    return Surroundings(wall, product.stands_on, product.covered)


def _edit(product: Product) -> Place:
    return Place("product", product.pk)


def body_of(product: Product, mixture: Mixture, food: Food) -> tuple[Body, tuple[Reason, ...]]:
    """Return the shape that cools, and what seems odd about it.

    Raises
    ------
    NotWorkedOut
        When there is no mold, or no height and none can be worked out.
    """
    mold = product.mold
    if mold is None:
        raise NotWorkedOut("no_mold", _edit(product), product=product.name)
    floor_cm2 = _floor_cm2(mold)
    if floor_cm2 is None:
        raise NotWorkedOut("no_measures", Place("mold", mold.pk), mold=str(mold))
    full = mixture.grams / (food.rho / 1000) / floor_cm2
    tray = mold.shape == Mold.Shape.TRAY
    if product.fill_height_cm is None and tray:
        raise NotWorkedOut("no_fill_height", _edit(product), mold=str(mold), product=product.name)
    height = full if product.fill_height_cm is None else float(product.fill_height_cm)
    return _shaped(mold, height * 10), () if tray else tuple(_odd(product, mold, height, full))


def _floor_cm2(mold: Mold) -> float | None:
    if mold.shape == Mold.Shape.ROUND:
        return None if mold.diameter_cm is None else pi * float(mold.diameter_cm) ** 2 / 4
    if mold.length_cm is None or mold.width_cm is None:
        return None
    return float(mold.length_cm) * float(mold.width_cm)


def _shaped(mold: Mold, height_mm: float) -> Body:
    if mold.shape == Mold.Shape.TRAY:
        return Slab(height_mm)
    if mold.shape == Mold.Shape.ROUND:
        return Cylinder(float(mold.diameter_cm or 0) * 10, height_mm)
    return Block(float(mold.length_cm or 0) * 10, float(mold.width_cm or 0) * 10, height_mm)


def mold_body(mold: Mold, height_mm: float) -> Body | None:
    """Return what another mold would hold, filled so high; None when its measures are not entered."""
    return None if _floor_cm2(mold) is None else _shaped(mold, height_mm)


def _odd(product: Product, mold: Mold, height: float, full: float) -> Iterator[Reason]:
    name = str(mold)
    if product.fill_height_cm is None:
        yield Reason("height_follows", {"mold": name, "full": full})
    elif abs(full / height - 1) > 0.25:
        yield Reason("height_and_amount_differ", {"mold": name, "full": full, "entered": height})
    if mold.height_cm is not None and height > float(mold.height_cm) * 1.001:
        yield Reason("mold_too_low", {"mold": name, "height": float(mold.height_cm)})
