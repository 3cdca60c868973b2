"""Steps into stages of cooling: the room, then the cold stages that follow each other."""

from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction
from itertools import accumulate

from catalog.cooling.missing import NotWorkedOut
from catalog.records.reasons import Reason
from costing.chilling import ICE_BATH, WARM_C, Mixture, Plan, Stage, Surroundings
from costing.contract import Book, Product, Recipe, Station, Step
from costing.contract.steps import COLD
from costing.timing.steps import clock_minutes

_COLD_STATIONS = frozenset({"refrigerator", "freezer"})
_WARM_C = Fraction(str(WARM_C))


@dataclass(frozen=True, slots=True)
class CycleStage:
    """A step as a stage of cooling: where, how long [min], and the temperature of air or ice water [°C].

    ``air_movement`` is a key of ``costing.chilling.AIRS``, or ``ICE_BATH``; without a station the stage is in the
    kitchen. ``is_wait`` when it is only the wait stated after the step from which it cools.
    """

    step: Step
    station: Station | None
    minutes: float
    air_c: float
    air_movement: str
    stage: Stage
    is_wait: bool = False


@dataclass(frozen=True, slots=True)
class CoolingCycle:
    """One cooling cycle: from the step with a leaving temperature through the cold stages after it.

    ``of`` is what cools, a product's load or a recipe's batch. ``last_at`` is the index of its last step. ``notes`` are
    remarks about its body. ``heated`` when something in it comes hot: then it is cooked food. ``recipes`` are the codes
    of a product's recipes that are in it at that time. ``mixture`` is what it consists of, of two layers the lower;
    ``above`` what a layer on top consists of.
    """

    of: Product | Recipe
    after: Step
    stages: tuple[CycleStage, ...]
    last_at: int
    plan: Plan
    mixture: Mixture
    notes: tuple[Reason, ...]
    heated: bool = False
    recipes: tuple[str, ...] = ()
    above: Mixture | None = None

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
        """Total stated minutes of all stages; nobody states an ice bath's."""
        return sum(stage.minutes for stage in self.stages if stage.air_movement != ICE_BATH)


@dataclass(frozen=True, slots=True)
class Made:
    """What cools, and how much of it at once: a recipe's batch [kg], or a product's load [units]."""

    of: Product | Recipe
    amount: Fraction

    @property
    def kind(self) -> str:
        """The kind of record in which its steps are entered."""
        return "recipe" if isinstance(self.of, Recipe) else "product"


Staged = tuple[int, CycleStage]


def stages_after(made: Made, start: int, surroundings: Surroundings, book: Book) -> list[Staged]:
    """Return the steps after a step as stages, each with its index: those in the room, then consecutive cold ones.

    The wait stated after a step that is no stay in the cold comes first, in the room; one in an ice bath is the stay in
    that.

    Raises
    ------
    NotWorkedOut
        When the air of a cold stage is not known.
    """
    wait = _wait_after(made.of.steps[start], surroundings, book)
    return [*([] if wait is None else [(start, wait)]), *_stages(made, start, surroundings, book)]


def _wait_after(step: Step, surroundings: Surroundings, book: Book) -> CycleStage | None:
    minutes = 0.0 if step.ice_bath else float(step.wait_min or 0)
    if not minutes or is_cold(step, station_of(step, book)):
        return None
    # It is out of the oven by then, and no longer at the stove.
    air = float(book.kitchen.described.room_c)
    return CycleStage(step, None, minutes, air, "room", surroundings.stage("room", minutes, air), is_wait=True)


def _stages(made: Made, start: int, surroundings: Surroundings, book: Book) -> Iterator[Staged]:
    cold = False
    for at, step in enumerate(made.of.steps[start + 1 :], start + 1):
        station = station_of(step, book)
        in_cold = is_cold(step, station)
        if step.leaves_c is not None or (cold and not in_cold):
            break
        cold = cold or in_cold
        minutes = float(clock_minutes(step, 1, made.amount) + (step.wait_min or 0))
        if minutes:
            air = _cold_air_c(step, station, made) if in_cold else _room_air_c(step, station, book)
            movement = _air_movement(step, station, in_cold=in_cold)
            yield at, CycleStage(step, station, minutes, air, movement, surroundings.stage(movement, minutes, air))


def ends_cold(staged: list[Staged]) -> bool:
    """Return whether the last stage is a cold one."""
    return bool(staged) and is_cold_stage(staged[-1][1])


def is_cold_stage(stage: CycleStage) -> bool:
    """Return whether a stage is a stay in the cold."""
    return not stage.is_wait and is_cold(stage.step, stage.station)


def station_of(step: Step, book: Book) -> Station | None:
    """Return where a step is done; None where it has no station."""
    return None if step.station is None else book.station(step.station)


def is_cold(step: Step, station: Station | None) -> bool:
    """Return whether a step is a cold stage, judged by its kind and its station."""
    if not step.waits:
        return False
    if station is None:
        return step.kind in COLD
    if station.air_c is not None:
        return station.air_c < _WARM_C
    return station.kind in _COLD_STATIONS


def _cold_air_c(step: Step, station: Station | None, made: Made) -> float:
    if station is None:
        raise NotWorkedOut("no_refrigerator", made.kind, made.of.code, step=str(step))
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
