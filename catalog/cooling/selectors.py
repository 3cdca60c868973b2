"""How products cool, by their steps, molds and recipes; and how long they may be out of the cold."""

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from fractions import Fraction
from math import ceil
from threading import Lock

from django.db import transaction

from catalog.book.selectors import book_revision
from catalog.cooling.cycles import CoolingCycle, cycles_of
from catalog.cooling.missing import Missing, NotWorkedOut, Place
from catalog.cooling.mixtures import Larder, NotMixed, larder
from catalog.kitchen.models import Kitchen
from catalog.kitchen.selectors import kitchen
from catalog.products.models import Product, ProductStep
from costing.chilling import Freezing, TimeOutLimit, Verdict, time_out_limit, trial, verdict_of
from costing.contract import Book

#: Up to this share of the mass may be without a known composition, such as salt or a flavouring.
MOST_UNKNOWN = 0.03


@dataclass(frozen=True, slots=True)
class Cooled:
    """A product with its cooling cycles, or with what is missing to work them out."""

    product: Product
    cycles: tuple[CoolingCycle, ...] = ()
    missing: Missing | None = None

    @property
    def asked(self) -> bool:
        """Whether the kitchen asks for it at all, by saying how warm a step leaves it."""
        return bool(self.cycles) or self.missing is not None


@dataclass(frozen=True, slots=True)
class ColdTime:
    """What a cold stage has to last: the step, as stated and at the slow end of the estimate.

    ``slow`` is None when it never gets cold there, or freezes first (``freezing``). Minutes are those of the step;
    ``limit_c`` is from where on it is cold, ``place`` and ``air_c`` are where it stands. ``verdict`` is one of
    ``costing.chilling.Verdict``, by the rule named ``rule``; ``freezes_in`` is the step that freezes its rim.
    """

    step_id: int
    name: str
    stated: int
    slow: int | None
    limit_c: float
    place: str
    air_c: float
    verdict: Verdict
    rule: str
    freezing: Freezing | None = None
    freezes_in: str = ""

    @property
    def never(self) -> bool:
        """Whether it never gets cold there."""
        return self.slow is None and self.freezing is None


@dataclass(frozen=True, slots=True)
class ProductCold:
    """A product's cold stages, its longest time out of the cold, and why either could not be worked out.

    ``out`` is None where it may be out without end; ``boxed`` is the same for it in an insulated box.
    """

    times: tuple[ColdTime, ...] = ()
    out: TimeOutLimit | None = None
    missing: Missing | None = None
    boxed: TimeOutLimit | None = None
    product_id: int = field(default=0, compare=False)


def cooled(codes: Iterable[str], book: Book) -> dict[str, Cooled]:
    """Work out how products cool, by code; those no longer in the Book are left out. Six queries for any number."""
    known = {product.code for product in book.products}
    wanted = [code for code in codes if code in known]
    row, of_foods = kitchen(), larder(book)
    steps: dict[int, list[ProductStep]] = defaultdict(list)
    for step in ProductStep.objects.filter(product__code__in=wanted).select_related("station", "role"):
        steps[step.product_id].append(step)
    products = Product.objects.filter(code__in=wanted).select_related("mold")
    return {product.code: _cooled(product, steps[product.pk], of_foods, row) for product in products}


def _cooled(product: Product, steps: Sequence[ProductStep], of_foods: Larder, row: Kitchen) -> Cooled:
    if all(step.leaves_c is None for step in steps):
        return Cooled(product)
    try:
        mixture = of_foods.portion(product.code)
        if mixture.unknown_share > MOST_UNKNOWN:
            raise NotWorkedOut("composition_unknown", Place("ingredients"), names=mixture.unknown)
        return Cooled(product, tuple(cycles_of(product, steps, mixture, row)))
    except NotWorkedOut as found:
        return Cooled(product, missing=found.missing)
    except NotMixed as error:
        return Cooled(product, missing=Missing(error.reason, Place("product", product.pk)))


#: What was worked out for the last revision read in this process, by product.
_kept: dict[int, dict[str, ProductCold]] = {}
_lock = Lock()


def cold_times(codes: Iterable[str], book: Book) -> dict[str, ProductCold]:
    """Return what products need in the cold, by code; worked out once per revision and process.

    One query when this process knows the revision; products that ask for no cooling are left out.
    """
    revision, wanted = book_revision(), list(codes)
    kept = _kept.get(revision, {})
    new = [code for code in wanted if code not in kept]
    if new:
        row = kitchen()
        found = {code: _cold(one, row) for code, one in cooled(new, book).items()}
        kept = kept | found
        # Rows of an open transaction may yet be rolled back: results are kept only once they are committed.
        transaction.on_commit(lambda: _keep(revision, found))
    return {code: kept[code] for code in wanted if code in kept and kept[code] != ProductCold()}


def _keep(revision: int, found: dict[str, ProductCold]) -> None:
    with _lock:
        if revision not in _kept:
            _kept.clear()
        _kept[revision] = _kept.get(revision, {}) | found


def _cold(one: Cooled, row: Kitchen) -> ProductCold:
    if one.missing is not None:
        return ProductCold(missing=one.missing, product_id=one.product.pk)
    if not one.cycles:
        return ProductCold()
    plan = one.cycles[-1].plan
    out, boxed = (
        time_out_limit(plan.rule, plan.body, plan.food, carried, float(row.away_c))
        for carried in (one.product.carried, Product.Carried.INSULATED)
    )
    return ProductCold(tuple(map(_time, one.cycles)), out, boxed=boxed, product_id=one.product.pk)


def _time(cycle: CoolingCycle) -> ColdTime:
    found, last = trial(cycle.plan), cycle.stages[-1]
    whole = None if found.freezes else found.cold_slow
    slow = None if whole is None else max(0, ceil(whole - cycle.before_last - float(cycle.last.wait_min or 0)))
    return ColdTime(
        step_id=cycle.last.pk,
        name=str(cycle.last),
        stated=ceil(Fraction(cycle.last.minutes or 0)),
        slow=slow,
        limit_c=cycle.plan.cold_c,
        place=last.station,
        air_c=last.air_c,
        verdict=verdict_of(found.legs, found.freezes),
        rule=cycle.plan.rule.title,
        freezing=found.freezes,
        freezes_in=str(cycle.stages[found.freezes.stage].step) if found.freezes else "",
    )
