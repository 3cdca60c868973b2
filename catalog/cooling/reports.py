"""The full cooling report of a product: each cycle's figures, remedies, time out of the cold."""

from collections.abc import Mapping
from dataclasses import dataclass, field

from catalog.book.selectors import book_current
from catalog.cooling.batch_parts import BatchPart, batch_parts
from catalog.cooling.figures import CycleFigures, figures_of, missing_key, station_keys
from catalog.cooling.missing import Missing
from catalog.cooling.remedies import Remedies, remedies_for
from catalog.cooling.selectors import cooled, products_unsaid
from catalog.cooling.stages import CoolingCycle
from catalog.cooling.time_out import TimesOut, times_out
from catalog.cooling.warm_waits import WarmPart, warm_parts_of
from catalog.products.models import Product
from costing.contract import Book
from costing.contract import Product as Values


@dataclass(frozen=True, slots=True)
class CycleReport:
    """The report of one cooling cycle; ``remedies`` are computed only where the rule is not certainly met."""

    figures: CycleFigures
    remedies: Remedies | None
    times_out: TimesOut


@dataclass(frozen=True, slots=True)
class CoolingReport:
    """A product's cooling cycles, and what is missing to work them all out.

    For links: ``stations`` are the primary keys of stations by code, ``missing_key`` is the primary key of the record
    with missing input. ``parts`` are the components that cool as batches of their own, ``waiting`` those that wait warm
    while loads are filled.
    """

    cycles: tuple[CycleReport, ...] = ()
    missing: Missing | None = None
    missing_key: int | None = None
    stations: Mapping[str, int] = field(default_factory=dict)
    parts: tuple[BatchPart, ...] = ()
    waiting: tuple[WarmPart, ...] = ()


def cooling_report(product: Product, units: int) -> CoolingReport:
    """Compute the cooling report of a product, and of its components in an order of units; a fixed number of queries.

    Raises
    ------
    CannotPrice
        When the catalog as a whole has an error.
    """
    book = book_current()
    found = cooled([product.code], book).get(product.code)
    if found is None:
        return CoolingReport()
    parts, waiting = batch_parts(found.product, units, book), tuple(warm_parts_of(found.product, book))
    if found.missing is not None:
        return CoolingReport((), found.missing, missing_key(found.missing), parts=parts, waiting=waiting)
    cycles = tuple(_cycle_report(cycle, found.product, book) for cycle in found.cycles)
    unsaid = products_unsaid([product.code], book).get(product.code)
    key = None if unsaid is None else missing_key(unsaid)
    return CoolingReport(cycles, unsaid, key, station_keys() if cycles else {}, parts, waiting)


def _cycle_report(cycle: CoolingCycle, product: Values, book: Book) -> CycleReport:
    found = figures_of(cycle, book)
    return CycleReport(
        figures=found,
        remedies=remedies_for(cycle, product, book.molds) if found.doubtful else None,
        times_out=times_out(cycle, product, book.kitchen.described),
    )
