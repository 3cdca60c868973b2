"""What a product's cooling page shows: the answer, what it rests on, the curve, the rule, what would help, time out."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

from django.utils.safestring import SafeString

from catalog.book.selectors import book_current
from catalog.cooling.cycles import CoolingCycle, CycleStage, rule_for
from catalog.cooling.missing_presenters import ShownMissing, note_sentence, shown_missing
from catalog.cooling.remedies import Remedies, remedies_of
from catalog.cooling.selectors import cooled
from catalog.cooling.time_out import Out, out_of
from catalog.cooling.verdict import Answer, Leg, answer_of, leg_rows
from catalog.cooling.words import MOVING, PARTS, bare, degrees, fast_time, likely_time, place, shape, slow_time
from catalog.molds.models import Mold
from catalog.products.models import Product
from catalog.rates.models import Station
from catalog.web import display
from catalog.web.charts import Course, CurveStage, cooling_curve, hour_marks
from costing.chilling import Curve, Freezing, Profile, Report, report, trial
from costing.contract import Book
from costing.contract import Profile as KitchenProfile

_MARKS = 10
#: A rule's limit this near to 57 or 21 °C is drawn in its place [°C].
_NEAR_C = 4.0


@dataclass(frozen=True, slots=True)
class StageRow:
    """A stage as the table shows it; ``station`` is the key of where it stands, None in the kitchen itself."""

    row: CycleStage
    place: str
    station: int | None
    air: str
    moving: str
    lengthened: bool


@dataclass(frozen=True, slots=True)
class LimitRow:
    """When the warmest point is down at a temperature, in words."""

    limit_c: float
    fast: str
    likely: str
    slow: str


@dataclass(frozen=True, slots=True)
class CourseRow:
    """Temperatures at one time, as figures for columns whose heads carry the unit."""

    minutes: float
    air: str
    fast: str
    likely: str
    slow: str
    mean: str


@dataclass(frozen=True, slots=True)
class CyclePage:
    """One stretch of cooling as the page shows it."""

    run: CoolingCycle
    answer: Answer
    shape: str
    wall: str
    composition: tuple[tuple[str, str], ...]
    stages: tuple[StageRow, ...]
    notes: tuple[str, ...]
    picture: SafeString
    course: tuple[CourseRow, ...]
    limits: tuple[LimitRow, ...]
    legs: tuple[Leg, ...]
    compared: Profile | None
    remedies: Remedies | None
    out: Out

    @property
    def rule(self) -> Profile:
        """The rule in force."""
        return self.run.plan.rule


@dataclass(frozen=True, slots=True)
class CoolingPage:
    """A product's stretches of cooling, or what is missing to work them out."""

    runs: tuple[CyclePage, ...] = ()
    missing: ShownMissing | None = None


def cooling_page(product: Product) -> CoolingPage:
    """Work out a product's cooling for its page; the same queries whatever is in it.

    Raises
    ------
    CannotPrice
        When the catalog as a whole has an error.
    """
    book = book_current()
    found = cooled([product.code], book).get(product.code)
    if found is None or not found.cycles:
        return CoolingPage(missing=shown_missing(found.missing) if found and found.missing else None)
    stations = dict(Station.objects.values_list("code", "pk"))
    return CoolingPage(tuple(_cycle_page(run, book, stations) for run in found.cycles))


def _cycle_page(run: CoolingCycle, book: Book, stations: Mapping[str, int]) -> CyclePage:
    told = report(run.plan)
    compared = None if run.plan.rule.legs else rule_for(run.product, run.after, KitchenProfile())
    legs = told.legs if compared is None else trial(replace(run.plan, rule=compared)).legs
    ends = _ends(run, told.freezes)
    curve = _until(told.curve, _ends(run, told.freezes or told.freezes_as_stated))
    return CyclePage(
        run=run,
        answer=answer_of(run, told),
        shape=shape(run.plan.body),
        wall=str(Mold.Wall(run.plan.around.wall).label),
        composition=tuple(
            (PARTS.get(name, name), display.percent(part / 100)) for name, part in run.mixture.percent.items()
        ),
        stages=tuple(_stage_rows(run, told, stations)),
        notes=tuple(_notes(run)),
        picture=_picture(run, told, curve),
        course=tuple(_course(run, curve)),
        limits=tuple(_limit_rows(told, ends)),
        legs=leg_rows(legs, ends),
        compared=compared,
        remedies=remedies_of(run, book.molds) if told.verdict in ("not kept", "likely") else None,
        out=out_of(run, book.kitchen.described),
    )


def _ends(run: CoolingCycle, frozen: Freezing | None) -> float | None:
    """Return from when on the estimate says nothing, because the rim freezes [min]."""
    return None if frozen is None else run.begins[frozen.stage] + frozen.minutes


def _until(curve: Curve, ends: float | None) -> Curve:
    """Leave out what lies beyond the estimate's end; two points are drawn in any case."""
    if ends is None:
        return curve
    many = max(2, sum(at <= ends for at in curve.minutes))
    return Curve(
        *(line[:many] for line in (curve.minutes, curve.likely, curve.fast, curve.slow, curve.mean, curve.air))
    )


def _stage_rows(run: CoolingCycle, told: Report, stations: Mapping[str, int]) -> Iterator[StageRow]:
    slow = told.cold.slow
    for stage in run.stages:
        longer = stage is run.stages[-1] and told.freezes is None and (slow is None or slow > run.stated)
        key = stations.get(stage.station.code) if stage.station else None
        yield StageRow(stage, place(stage), key, bare(stage.air_c), MOVING[stage.moving], longer)


def _notes(run: CoolingCycle) -> Iterator[str]:
    yield from map(note_sentence, run.notes)
    if run.mixture.unknown:
        names, part = display.joined(run.mixture.unknown), display.percent(run.mixture.unknown_share)
        yield f"What {names} consists of is not known; it is left out ({part} of the mass)."


def _picture(run: CoolingCycle, told: Report, curve: Curve) -> SafeString:
    stages = [
        CurveStage(f"{stage.step}, {place(stage)}", begins, stage.air_c)
        for stage, begins in zip(run.stages, run.begins, strict=True)
        if begins <= curve.minutes[-1]
    ]
    course = Course(curve.minutes, curve.likely, curve.fast, curve.slow)
    return cooling_curve(course, stages, _drawn_limits(run, told), title=f"How {run.product} cools after “{run.after}”")


def _drawn_limits(run: CoolingCycle, told: Report) -> list[float]:
    """Return 57, 21 and 5 °C, or the rule's own limits where those are near, and the rule's others."""
    rule = {end for leg in run.plan.rule.legs for end in (leg.from_c, leg.to_c) if end is not None}
    common = {reached.limit_c for reached in told.reached}
    far = {limit for limit in common if all(abs(limit - other) > _NEAR_C for other in rule)}
    return sorted((limit for limit in rule | far if limit < run.plan.initial_c), reverse=True)


def _limit_rows(told: Report, ends: float | None) -> Iterator[LimitRow]:
    for reached in told.reached:
        found = reached.range
        yield LimitRow(
            reached.limit_c, fast_time(found.fast, ends), likely_time(found.likely, ends), slow_time(found.slow, ends)
        )


def _course(run: CoolingCycle, curve: Curve) -> Iterator[CourseRow]:
    """Read the curve at round times and where stages change."""
    end = curve.minutes[-1]
    times = {*hour_marks(end, _MARKS), *(at for at in run.begins if at <= end)}
    begins, airs = run.begins, [stage.air_c for stage in run.stages]
    lines = (curve.fast, curve.likely, curve.slow, curve.mean)
    for at in sorted(times):
        air = next(air for air, first in zip(airs[::-1], begins[::-1], strict=True) if first <= at)
        fast, likely, slow, mean = (degrees(_read(curve.minutes, line, at)) for line in lines)
        yield CourseRow(at, degrees(air), fast, likely, slow, mean)


def _read(minutes: Sequence[float], line: Sequence[float], at: float) -> float:
    for (before, first), (after, last) in pairwise(zip(minutes, line, strict=True)):
        if at <= after:
            return first + (last - first) * (at - before) / (after - before)
    return line[-1]
