"""The figures of one cooling cycle: its report, the legs of its rule, and where the estimate ends."""

from dataclasses import dataclass, replace

from django.db.models import Model

from catalog.cooling.aims import aim_of
from catalog.cooling.cold_first import ColdFirst, cold_first
from catalog.cooling.cycles import rule_for
from catalog.cooling.missing import Missing
from catalog.cooling.stages import CoolingCycle
from catalog.molds.models import Mold
from catalog.products.models import Product
from catalog.rates.models import Station
from catalog.recipes.models import Recipe
from catalog.vessels.models import Vessel
from costing.chilling import NOT_MET, Freezing, LegRange, Report, report, trial
from costing.chilling import Profile as Rule
from costing.contract import Book, Profile


@dataclass(frozen=True, slots=True)
class CycleFigures:
    """The figures of one cooling cycle.

    ``legs`` are those of its rule or, where that states no times, of the rule it is ``compared`` with. ``first`` is
    where it gets cold, where its rim freezes before its core is cold or within the stated minutes.
    """

    cycle: CoolingCycle
    report: Report
    compared: Rule | None
    legs: tuple[LegRange, ...]
    first: ColdFirst | None = None

    @property
    def doubtful(self) -> bool:
        """Whether the rule, or what a rule without times is held against, is not certainly met: remedies are tried."""
        plan, slow = self.cycle.plan, self.report.cold.slow
        aim = aim_of(plan.rule)
        if aim is None or self.report.verdict != "untimed":
            return self.report.verdict in (NOT_MET, "likely")
        return slow is None or (slow > 0 and slow + plan.hot_before_min > aim.minutes)

    @property
    def ends(self) -> float | None:
        """When the estimate ends because the rim freezes before the food is cold [min]; None if it does not."""
        return self._minute_of(self.report.freezes)

    @property
    def curve_ends(self) -> float | None:
        """When the curve ends because the rim freezes, even within the stated minutes [min]; None if it does not."""
        return self._minute_of(self.report.freezes or self.report.freezes_as_stated)

    def _minute_of(self, frozen: Freezing | None) -> float | None:
        return None if frozen is None else self.cycle.begins[frozen.stage] + frozen.minutes


def figures_of(cycle: CoolingCycle, book: Book) -> CycleFigures:
    """Compute the figures of a cooling cycle in the kitchen of a Book."""
    found = report(cycle.plan)
    compared = None if cycle.plan.rule.legs else rule_for(cycle.of, cycle.after, Profile(), heated=cycle.heated)
    legs = found.legs if compared is None else trial(replace(cycle.plan, rule=compared)).legs
    frozen = found.freezes or found.freezes_as_stated
    return CycleFigures(cycle, found, compared, legs, None if frozen is None else cold_first(cycle, frozen, book))


#: Kind of record -> its rows, and the column that identifies one of them in a Book.
_ROWS: dict[str, tuple[type[Model], str]] = {
    "product": (Product, "code"),
    "recipe": (Recipe, "code"),
    "mold": (Mold, "name"),
    "vessel": (Vessel, "name"),
    "station": (Station, "code"),
}


def missing_key(missing: Missing) -> int | None:
    """Return the primary key of the record with missing input; None for a list."""
    if missing.kind not in _ROWS:
        return None
    model, column = _ROWS[missing.kind]
    key: int = model._default_manager.values_list("pk", flat=True).get(**{column: missing.thing})
    return key


def station_keys() -> dict[str, int]:
    """Return the primary keys of the stations, by code."""
    return dict(Station.objects.values_list("code", "pk"))


def vessel_keys() -> dict[str, int]:
    """Return the primary keys of the vessels, by name."""
    return dict(Vessel.objects.values_list("name", "pk"))
