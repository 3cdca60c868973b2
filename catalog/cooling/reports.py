"""The full cooling report of a product: each cycle's report, the legs of its rule, remedies, time out of the cold."""

from collections.abc import Mapping
from dataclasses import dataclass, field, replace

from django.db.models import Model

from catalog.book.selectors import book_current
from catalog.cooling.cycles import CoolingCycle, Missing, rule_for
from catalog.cooling.remedies import Remedies, remedies_for
from catalog.cooling.selectors import cooled
from catalog.cooling.time_out import TimesOut, times_out
from catalog.molds.models import Mold
from catalog.products.models import Product
from catalog.rates.models import Station
from costing.chilling import NOT_MET, Freezing, LegRange, Report, report, trial
from costing.chilling import Profile as Rule
from costing.contract import Book, Profile


@dataclass(frozen=True, slots=True)
class CycleReport:
    """The report of one cooling cycle.

    ``legs`` are those of its rule or, where that states no times, of the rule it is ``compared`` with. ``remedies`` are
    computed only where the rule is not certainly met.
    """

    cycle: CoolingCycle
    report: Report
    compared: Rule | None
    legs: tuple[LegRange, ...]
    remedies: Remedies | None
    times_out: TimesOut

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


@dataclass(frozen=True, slots=True)
class CoolingReport:
    """A product's cooling cycles, or what is missing to work them out.

    For links: ``stations`` are the primary keys of stations by code, ``missing_key`` is the primary key of the record
    with missing input.
    """

    cycles: tuple[CycleReport, ...] = ()
    missing: Missing | None = None
    missing_key: int | None = None
    stations: Mapping[str, int] = field(default_factory=dict)


#: Kind of record -> its rows, and the column that identifies one of them in a Book.
_ROWS: dict[str, tuple[type[Model], str]] = {
    "product": (Product, "code"),
    "mold": (Mold, "name"),
    "station": (Station, "code"),
}


def cooling_report(product: Product) -> CoolingReport:
    """Compute the cooling report of a product, in a fixed number of queries.

    Raises
    ------
    CannotPrice
        When the catalog as a whole has an error.
    """
    book = book_current()
    found = cooled([product.code], book).get(product.code)
    if found is None:
        return CoolingReport()
    if found.missing is not None:
        return CoolingReport(missing=found.missing, missing_key=_key(found.missing))
    stations = dict(Station.objects.values_list("code", "pk"))
    return CoolingReport(tuple(_cycle_report(cycle, book) for cycle in found.cycles), stations=stations)


def _key(missing: Missing) -> int | None:
    if missing.kind not in _ROWS:
        return None
    model, column = _ROWS[missing.kind]
    key: int = model._default_manager.values_list("pk", flat=True).get(**{column: missing.thing})
    return key


def _cycle_report(cycle: CoolingCycle, book: Book) -> CycleReport:
    found = report(cycle.plan)
    doubtful = found.verdict in (NOT_MET, "likely")
    compared = None if cycle.plan.rule.legs else rule_for(cycle.product, cycle.after, Profile())
    return CycleReport(
        cycle=cycle,
        report=found,
        compared=compared,
        legs=found.legs if compared is None else trial(replace(cycle.plan, rule=compared)).legs,
        remedies=remedies_for(cycle, book.molds) if doubtful else None,
        times_out=times_out(cycle, book.kitchen.described),
    )
