"""How a product cools, in full: each cycle's report, the legs of its rule, what would keep it, and its time out."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

from catalog.book.selectors import book_current
from catalog.cooling.cycles import CoolingCycle, rule_for
from catalog.cooling.missing import Missing
from catalog.cooling.remedies import Remedies, remedies_for
from catalog.cooling.selectors import cooled
from catalog.cooling.time_out import TimesOut, times_out
from catalog.kitchen.models import Kitchen
from catalog.kitchen.selectors import kitchen
from catalog.molds.models import Mold
from catalog.products.models import Product
from costing.chilling import NOT_KEPT, Freezing, LegRange, Profile, Report, report, trial


@dataclass(frozen=True, slots=True)
class CycleReport:
    """How one cycle cools.

    ``legs`` are those of its rule or, where that states no times, of the rule it is ``compared`` with. ``remedies`` are
    worked out only where the rule is not kept for sure.
    """

    cycle: CoolingCycle
    report: Report
    compared: Profile | None
    legs: tuple[LegRange, ...]
    remedies: Remedies | None
    times_out: TimesOut

    @property
    def ends(self) -> float | None:
        """From when on the estimate says nothing, because the rim freezes before it is cold [min]."""
        return self._minute_of(self.report.freezes)

    @property
    def curve_ends(self) -> float | None:
        """From when on there is no curve, because the rim freezes, if only within the stated minutes [min]."""
        return self._minute_of(self.report.freezes or self.report.freezes_as_stated)

    def _minute_of(self, frozen: Freezing | None) -> float | None:
        return None if frozen is None else self.cycle.begins[frozen.stage] + frozen.minutes


@dataclass(frozen=True, slots=True)
class CoolingReport:
    """A product's cooling cycles, or what is missing to work them out."""

    cycles: tuple[CycleReport, ...] = ()
    missing: Missing | None = None


def cooling_report(product: Product) -> CoolingReport:
    """Work out how a product cools; the same queries whatever is in it.

    Raises
    ------
    CannotPrice
        When the catalog as a whole has an error.
    """
    found = cooled([product.code], book_current()).get(product.code)
    if found is None or not found.cycles:
        return CoolingReport(missing=found.missing if found else None)
    row, molds = kitchen(), list(Mold.objects.all())
    return CoolingReport(tuple(_cycle_report(cycle, row, molds) for cycle in found.cycles))


def _cycle_report(cycle: CoolingCycle, row: Kitchen, molds: Sequence[Mold]) -> CycleReport:
    found = report(cycle.plan)
    doubtful = found.verdict in (NOT_KEPT, "likely")
    compared = None if cycle.plan.rule.legs else rule_for(cycle.product, cycle.after, Kitchen())
    return CycleReport(
        cycle=cycle,
        report=found,
        compared=compared,
        legs=found.legs if compared is None else trial(replace(cycle.plan, rule=compared)).legs,
        remedies=remedies_for(cycle, molds) if doubtful else None,
        times_out=times_out(cycle, row),
    )
