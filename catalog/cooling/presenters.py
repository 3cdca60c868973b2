"""A product's cooling page: result, inputs, curve, rule, remedies, time out of the cold."""

from collections.abc import Collection, Iterator, Mapping
from dataclasses import dataclass, replace
from math import ceil

from django.utils.translation import gettext

from catalog.cooling.batch_parts import BatchPart
from catalog.cooling.batch_presenters import batches_words, bath_ice_words, vessels_words
from catalog.cooling.batch_reports import BatchCold, BatchReport
from catalog.cooling.batches import asks_how_many
from catalog.cooling.curve_presenters import CurveShown, LimitShown, curve_shown, limits_shown
from catalog.cooling.figures import CycleFigures
from catalog.cooling.layer_presenters import LayerShown, layers_shown
from catalog.cooling.missing_presenters import MissingShown, missing_shown, note_sentence
from catalog.cooling.remedies import Remedies
from catalog.cooling.remedy_presenters import RemediesShown, remedies_shown
from catalog.cooling.reports import CoolingReport, CycleReport
from catalog.cooling.stages import CoolingCycle, CycleStage
from catalog.cooling.time_out_presenters import TimesOutShown, times_out_shown
from catalog.cooling.verdict_presenters import BY_ITSELF, Answer, LegShown, answer_shown, beside_open, legs_shown
from catalog.cooling.words import AIR_MOVEMENTS, COMPONENTS, VERDICTS, degrees_entered, shape, stage_name, stage_place
from catalog.kitchen.presenters import choice_asked, rule_words
from catalog.molds.models import Mold
from catalog.records.reasons import Reason
from catalog.web import display
from costing.chilling import Profile, Trial, is_unmet
from costing.contract import Product, Recipe


@dataclass(frozen=True, slots=True)
class StageShown:
    """A stage as a row of the table; ``lengthened`` if it lasts until the food is cold.

    ``station`` is the primary key of its station; None in the kitchen itself.
    """

    stage: CycleStage
    name: str
    station: int | None
    place: str
    air: str
    air_movement: str
    lengthened: bool


@dataclass(frozen=True, slots=True)
class CycleShown:
    """One cooling cycle as the page shows it; what cools in vessels has no ``time_out``, and one food no ``layers``."""

    cycle: CoolingCycle
    answer: Answer
    shape: str
    wall: str
    composition: str
    stages: tuple[StageShown, ...]
    notes: tuple[str, ...]
    curve: CurveShown
    limits: tuple[LimitShown, ...]
    legs: tuple[LegShown, ...]
    layers: tuple[LayerShown, ...]
    compared: Profile | None
    remedies: RemediesShown | None
    rule_words: str
    divided: str
    time_out: TimesOutShown | None = None
    vessels: str = ""
    ice: str = ""
    owned_at: int | None = None

    @property
    def rule(self) -> Profile:
        """The rule in force."""
        return self.cycle.plan.rule


@dataclass(frozen=True, slots=True)
class PartShown:
    """A component that cools as a batch of its own: what is the matter with it, or that it keeps the rule.

    ``grams`` is how much of it is made, ``to_measure`` that it is not certain to keep its rule.
    """

    name: str
    sentence: str
    key: int
    fails: bool
    grams: int
    to_measure: bool


@dataclass(frozen=True, slots=True)
class CoolingPage:
    """What cools in cycles, and what is missing to work them all out; of a recipe also its batches in words.

    Of a product ``parts`` are the components that cool as batches, ``waiting`` says which wait warm load by load.
    """

    cycles: tuple[CycleShown, ...] = ()
    missing: MissingShown | None = None
    batches: str = ""
    parts: tuple[PartShown, ...] = ()
    waiting: tuple[str, ...] = ()


def cooling_page(found: CoolingReport, *, unsettled: bool = False, beside: Collection[str] = ()) -> CoolingPage:
    """Build the page of a product's cooling; ``unsettled`` where something of its recipes is open beside that.

    ``beside`` are the codes of recipes with steps that count as cold although nobody stated it.
    """
    missing = None if found.missing is None else missing_shown(found.missing, found.missing_key)
    parts = tuple(_part_shown(one, is_open=one.cold.recipe.code in beside) for one in found.parts)
    waiting = tuple(note_sentence(one.note) for one in found.waiting)
    is_open = unsettled or missing is not None or bool(waiting) or any(one.to_measure for one in parts)
    shown = _worst_of([_product_shown(each, found.stations) for each in found.cycles], is_open=is_open)
    return CoolingPage(shown, missing, parts=parts, waiting=waiting)


def _part_shown(one: BatchPart, *, is_open: bool) -> PartShown:
    grams = max(1, ceil(one.cold.batches.grams))
    words, to_measure = _part_words(one.cold, is_open=is_open), one.fails or one.likely
    return PartShown(one.cold.recipe.name, words, one.key, one.fails, grams, to_measure)


def _part_words(cold: BatchCold, *, is_open: bool) -> str:
    """Write how the batches of a component do: the worst that is known of it."""
    if cold.missing is not None:
        return note_sentence(cold.missing.reason)
    worst = min(cold.times, key=lambda one: _rank(one.trial))
    if worst.trial.never:
        limit = display.temperature(worst.cycle.plan.cold_c)
        return gettext("May never get to %(limit)s there.") % {"limit": limit}
    if cold.short is not None and not _unmet(worst.trial):
        return note_sentence(cold.short)
    by_itself = is_open and worst.trial.verdict == "kept"
    return gettext(BY_ITSELF) if by_itself else gettext(VERDICTS[worst.trial.verdict])


def _rank(found: Trial) -> int:
    """Return how good news of a cooling is: what may never get cold or breaks the rule, what likely meets it, else."""
    return 0 if found.never or _unmet(found) else 1 if found.verdict == "likely" else 2


def stated_heat(made: Recipe | Product) -> str:
    """Write which steps state how warm they leave it: “Boil” (180 °F); empty where none does."""
    stated = (step for step in made.steps if step.leaves_c is not None)
    text = gettext("“%(step)s” (%(leaves)s)")
    return display.joined([text % {"step": step, "leaves": display.temperature(step.leaves_c)} for step in stated])


def _unmet(found: Trial) -> bool:
    return is_unmet(found.verdict, timed=bool(found.legs))


def batch_page(found: BatchReport, *, unsettled: bool = False) -> CoolingPage:
    """Build the page of how an amount of a recipe cools; ``unsettled`` where a person has to answer for a step."""
    batches = batches_words(found.batches)
    missing = None if found.missing is None else missing_shown(found.missing, found.missing_key)
    shown = (_cycle_shown(each.figures, each.remedies, found.stations) for each in found.cycles)
    cycles = [_batch_shown(one, found.vessels) for one in shown]
    return CoolingPage(_worst_of(cycles, is_open=unsettled or missing is not None), missing, batches)


def _worst_of(every: list[CycleShown], *, is_open: bool) -> tuple[CycleShown, ...]:
    """Return the coolings as the page of a thing shows them: none is good news while another, or a question, is not."""
    if is_open or any(one.answer.note != "good" for one in every):
        return tuple(replace(one, answer=beside_open(one.answer)) for one in every)
    return tuple(every)


def _batch_shown(shown: CycleShown, vessels: Mapping[str, int]) -> CycleShown:
    cycle = shown.cycle
    owned_at = vessels.get(cycle.after.vessel or "") if asks_how_many(cycle) else None
    return replace(shown, vessels=vessels_words(cycle), ice=bath_ice_words(cycle), owned_at=owned_at)


def _product_shown(found: CycleReport, stations: Mapping[str, int]) -> CycleShown:
    shown = _cycle_shown(found.figures, found.remedies, stations)
    return replace(shown, time_out=times_out_shown(found.times_out, shown.rule))


def _cycle_shown(found: CycleFigures, remedies: Remedies | None, stations: Mapping[str, int]) -> CycleShown:
    cycle = found.cycle
    return CycleShown(
        cycle=cycle,
        answer=answer_shown(found),
        shape=shape(cycle.plan.body),
        wall=str(Mold.Wall(cycle.plan.surroundings.wall).label),
        composition=_composition(cycle),
        stages=tuple(_stages_shown(found, stations)),
        notes=tuple(_notes(cycle)),
        curve=curve_shown(found),
        limits=limits_shown(found),
        legs=legs_shown(found),
        layers=layers_shown(found.report.layers),
        compared=found.compared,
        remedies=remedies_shown(remedies) if remedies else None,
        rule_words=rule_words(cycle.plan.rule),
        divided=choice_asked(cycle.plan.rule.code),
    )


def _composition(cycle: CoolingCycle) -> str:
    """Write what the food is made of: 52% water, 20% fat, by weight; air is 12% of the volume."""
    parts = (
        gettext("%(share)s %(component)s")
        % {"share": display.percent(part / 100), "component": gettext(COMPONENTS[name])}
        for name, part in cycle.mixture.percent.items()
    )
    words = {"parts": ", ".join(parts), "air": display.percent(cycle.mixture.air, digits=0)}
    if cycle.plan.top is not None:
        return gettext("the part below: %(parts)s by weight; air is %(air)s of its volume") % words
    return gettext("%(parts)s by weight; air is %(air)s of the volume") % words


def _stages_shown(found: CycleFigures, stations: Mapping[str, int]) -> Iterator[StageShown]:
    cycle, slow = found.cycle, found.report.cold.slow
    longer = found.report.freezes is None and (slow is None or slow > cycle.stated)
    for stage in cycle.stages:
        lengthened = longer and stage is cycle.stages[-1]
        key = stations.get(stage.station.code) if stage.station else None
        words = stage_place(stage), degrees_entered(stage.air_c), gettext(AIR_MOVEMENTS[stage.air_movement])
        yield StageShown(stage, stage_name(stage), key, *words, lengthened)


def _notes(cycle: CoolingCycle) -> Iterator[str]:
    for note in cycle.notes:
        yield note_sentence(note)
    if cycle.mixture.unknown:
        left_out = {"names": cycle.mixture.unknown, "share": cycle.mixture.unknown_share}
        yield note_sentence(Reason("left_out", left_out))
