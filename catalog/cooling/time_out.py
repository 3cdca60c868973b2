"""How long a product stays cold at room temperature, and how long it may be out: by its rule, or by the estimate."""

from dataclasses import dataclass

from catalog.cooling.stages import CoolingCycle
from catalog.products.models import Product as ProductRow
from costing.chilling import COLD_START_C, Range, TimeOutLimit, time_out_limit, warming_times
from costing.contract import Product, Profile

Carried = ProductRow.Carried

#: Air temperatures shown in addition to the kitchen's own figure [°C].
AIRS_C = (20.0, 30.0)


@dataclass(frozen=True, slots=True)
class TimeOutRow:
    """A way to carry it in one air [°C]: how long ten millimetres in and the mean stay cold, how long it may be out.

    ``longest`` is None in air that is cold itself. ``own`` is how the product is carried, in the air the kitchen gave.
    """

    carried: Carried
    air_c: float
    deep: Range
    mean: Range
    longest: TimeOutLimit | None
    own: bool


@dataclass(frozen=True, slots=True)
class TimesOut:
    """Times out of the cold for each way of carrying and air temperature, with start and limit temperatures [°C]."""

    rows: tuple[TimeOutRow, ...]
    limit_c: float
    start_c: float


def times_out(cycle: CoolingCycle, product: Product, profile: Profile) -> TimesOut:
    """Compute the times out of the cold for each way of carrying and air temperature."""
    away = float(profile.away_c)
    airs = sorted({*AIRS_C, away})
    rows = (_row(cycle, carried, air, own=(product.carried, away)) for carried in Carried for air in airs)
    return TimesOut(tuple(rows), cycle.plan.cold_c, COLD_START_C)


def _row(cycle: CoolingCycle, carried: Carried, air_c: float, *, own: tuple[str, float]) -> TimeOutRow:
    plan = cycle.plan
    (found,) = warming_times(plan.body, plan.food, carried, air_c, limits=(plan.cold_c,), top=plan.top)
    return TimeOutRow(
        carried=carried,
        air_c=air_c,
        deep=found.deep,
        mean=found.mean,
        longest=time_out_limit(plan.rule, plan.body, plan.food, carried, air_c, top=plan.top),
        own=(carried, air_c) == own,
    )
