"""How long a product stays cold out of the cold, and which is shorter: that, or the time its rule allows."""

from collections.abc import Iterator
from dataclasses import dataclass

from catalog.cooling.cycles import CoolingCycle
from catalog.cooling.words import bare, fast_time, likely_time
from catalog.products.models import Product
from catalog.web import display
from costing.chilling import COLD_START_C, Longest, Range, TimeOut, longest_out, time_out
from costing.contract import Profile

#: Air at a table or in a vehicle beside the kitchen's own figure [°C].
AIRS_C = (20.0, 30.0)
_A_DAY = "over a day"


@dataclass(frozen=True, slots=True)
class OutRow:
    """A way to carry it in one air: how long ten millimetres in and the mean stay cold, and how long it may be out."""

    carried: str
    air_c: float
    air: str
    deep: str
    mean: str
    longest: str
    by: str
    own: bool
    endless: bool


@dataclass(frozen=True, slots=True)
class Out:
    """Time out of the cold: the table, the limit and start it is for, and the rule's own times."""

    rows: tuple[OutRow, ...]
    limit_c: float
    start_c: float
    clauses: tuple[tuple[str, str], ...]

    @property
    def own(self) -> OutRow:
        """The row of how the product is carried, in the air the kitchen gave."""
        return next(row for row in self.rows if row.own)


def out_of(run: CoolingCycle, profile: Profile) -> Out:
    """Work out the time out of the cold in each box and air."""
    away = float(profile.away_c)
    airs = sorted({*AIRS_C, away})
    rows = (_row(run, carried, air, own_c=away) for carried in Product.Carried for air in airs)
    return Out(tuple(rows), run.plan.cold_c, COLD_START_C, tuple(_clauses(run)))


def _row(run: CoolingCycle, carried: Product.Carried, air_c: float, *, own_c: float) -> OutRow:
    plan = run.plan
    (found,) = time_out(plan.body, plan.food, carried, air_c, limits=(plan.cold_c,))
    longest = longest_out(plan.rule, plan.body, plan.food, carried, air_c)
    own = carried == run.product.carried and air_c == own_c
    return OutRow(
        str(carried.label),
        air_c,
        bare(air_c),
        _stays(found.deep),
        _stays(found.mean),
        _most(longest),
        _by(longest),
        own,
        longest is None,
    )


def _stays(found: Range) -> str:
    if found.fast is None:
        return _A_DAY
    later = _A_DAY if found.likely is None else likely_time(found.likely)
    first = fast_time(found.fast)
    return first if first == later else f"{first} to {later}"


def _most(longest: Longest | None) -> str:
    return "without end" if longest is None else display.duration(longest.told_minutes)


def _by(longest: Longest | None) -> str:
    if longest is None:
        return "the air is cold itself"
    return "the estimate, 10 mm in" if longest.clause is None else "the rule’s time"


def _clauses(run: CoolingCycle) -> Iterator[tuple[str, str]]:
    for out in run.plan.rule.times_out:
        yield f"{display.duration(out.minutes)}{_warmest(out)}", out.source


def _warmest(out: TimeOut) -> str:
    if out.warmest_c is None:
        return ", whatever its temperature meanwhile"
    return f", if no part of it gets above {display.temperature(out.warmest_c)}"
