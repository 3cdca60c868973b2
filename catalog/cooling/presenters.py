"""What a product's cooling page shows: the answer, what it rests on, the curve, the rule, what would help, time out."""

from collections.abc import Iterator
from dataclasses import dataclass

from catalog.cooling.curve_presenters import CurveShown, LimitShown, curve_shown, limits_shown
from catalog.cooling.cycles import CoolingCycle, CycleStage
from catalog.cooling.missing import Missing
from catalog.cooling.missing_presenters import missing_sentence, note_sentence, place_url
from catalog.cooling.remedy_presenters import RemediesShown, remedies_shown
from catalog.cooling.reports import CoolingReport, CycleReport
from catalog.cooling.time_out_presenters import TimesOutShown, times_out_shown
from catalog.cooling.verdict_presenters import Answer, LegShown, answer_shown, legs_shown
from catalog.cooling.words import COMPONENTS, MOVING, degrees_entered, shape, stage_place
from catalog.molds.models import Mold
from catalog.records.reasons import Reason
from catalog.web import display
from costing.chilling import Profile


@dataclass(frozen=True, slots=True)
class MissingShown:
    """What is missing, and the page on which it is entered."""

    sentence: str
    url: str


@dataclass(frozen=True, slots=True)
class StageShown:
    """A stage as the table shows it; ``lengthened`` where it lasts as long as cooling takes."""

    stage: CycleStage
    place: str
    air: str
    moving: str
    lengthened: bool


@dataclass(frozen=True, slots=True)
class CycleShown:
    """One cooling cycle as the page shows it."""

    cycle: CoolingCycle
    answer: Answer
    shape: str
    wall: str
    composition: tuple[tuple[str, str], ...]
    stages: tuple[StageShown, ...]
    notes: tuple[str, ...]
    curve: CurveShown
    limits: tuple[LimitShown, ...]
    legs: tuple[LegShown, ...]
    compared: Profile | None
    remedies: RemediesShown | None
    time_out: TimesOutShown

    @property
    def rule(self) -> Profile:
        """The rule in force."""
        return self.cycle.plan.rule


@dataclass(frozen=True, slots=True)
class CoolingPage:
    """A product's cooling cycles, or what is missing to work them out."""

    cycles: tuple[CycleShown, ...] = ()
    missing: MissingShown | None = None


def cooling_page(found: CoolingReport) -> CoolingPage:
    """Write out how a product cools."""
    return CoolingPage(tuple(map(_cycle_shown, found.cycles)), _missing_shown(found.missing))


def _missing_shown(missing: Missing | None) -> MissingShown | None:
    return None if missing is None else MissingShown(missing_sentence(missing), place_url(missing.place))


def _cycle_shown(found: CycleReport) -> CycleShown:
    cycle = found.cycle
    return CycleShown(
        cycle=cycle,
        answer=answer_shown(found),
        shape=shape(cycle.plan.body),
        wall=str(Mold.Wall(cycle.plan.surroundings.wall).label),
        composition=tuple(
            (COMPONENTS.get(name, name), display.percent(part / 100)) for name, part in cycle.mixture.percent.items()
        ),
        stages=tuple(_stages_shown(found)),
        notes=tuple(_notes(cycle)),
        curve=curve_shown(found),
        limits=limits_shown(found),
        legs=legs_shown(found),
        compared=found.compared,
        remedies=remedies_shown(found.remedies) if found.remedies else None,
        time_out=times_out_shown(found.times_out, cycle.plan.rule),
    )


def _stages_shown(found: CycleReport) -> Iterator[StageShown]:
    cycle, slow = found.cycle, found.report.cold.slow
    longer = found.report.freezes is None and (slow is None or slow > cycle.stated)
    for stage in cycle.stages:
        lengthened = longer and stage is cycle.stages[-1]
        yield StageShown(stage, stage_place(stage), degrees_entered(stage.air_c), MOVING[stage.moving], lengthened)


def _notes(cycle: CoolingCycle) -> Iterator[str]:
    for note in cycle.notes:
        yield note_sentence(note)
    if cycle.mixture.unknown:
        left_out = {"names": cycle.mixture.unknown, "share": cycle.mixture.unknown_share}
        yield note_sentence(Reason("left_out", left_out))
