"""Batches that are made hot, in words for the sheets: vessels, depth, both limits with clock times, the verdict."""

from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from math import ceil, inf
from typing import Final

from django.utils.translation import gettext, ngettext
from django.utils.translation import gettext_noop as marked

from catalog.cooling.batch_presenters import bath_ice_words, mass_words
from catalog.cooling.batch_presenters import vessels_words as in_vessels_words
from catalog.cooling.batch_reports import BatchTimes
from catalog.cooling.batches import vessels_short
from catalog.cooling.missing_presenters import missing_sentence, note_sentence
from catalog.cooling.selectors import ProductCold
from catalog.cooling.stages import CycleStage
from catalog.cooling.time_used import USED_UP
from catalog.cooling.words import VERDICTS, cold_words, stage_place
from catalog.web import display
from costing.chilling import ICE_BATH, NOT_MET, Trial, Verdict
from costing.timing.loads import LoadTimes
from costing.timing.spans import WorkingHours
from orders.cooling_log.making_days import Making
from orders.production.batches import BatchRow
from orders.production.limit_presenters import clocks_words, limits_by_load, load_leaves, readings_by_load
from orders.production.tasks import Task
from orders.production.vessels import VesselsNeeded
from orders.quotes.cooling.presenters import slow_words
from orders.quotes.cooling.selectors import NO_SOURCE
from orders.quotes.cooling.stopping import NO_WAY
from orders.quotes.cooling.untimed import cools_slowly

#: Verdict of the rule in force -> what follows it.
_AFTER: Final[dict[Verdict, str]] = {
    "likely": marked("Measure it."),
    "untimed": marked("Cool it as fast as you can."),
}
_MET: Final[Verdict] = "kept"
#: One batch, or what has no clock.
ONE: Final = LoadTimes()


@dataclass(frozen=True, slots=True)
class CoolingShown:
    """One cooling of a batch: where it stands, until when it has to be down at each limit, and the rule's verdict.

    ``readings`` are what has to be read, each with the time by which: every limit of the rule, or only that it is cold.
    ``counts`` says from when these times count, and the verdict.
    """

    after: str
    vessels: str
    places: str
    leaves: str
    limits: str
    readings: tuple[str, ...]
    takes: str
    verdict: str
    marked: bool
    notes: tuple[str, ...]
    check_c: float
    counts: str = ""
    unplanned: bool = False


@dataclass(frozen=True, slots=True)
class BatchShown:
    """A batch of a recipe, or some that are alike; ``missing`` says why it is not known how they cool.

    ``numbers`` are those of the batches for a line to write on each, empty for one alone; ``grams`` is for the link.
    ``marked`` when it does not fit, nothing cools it, it stands out for too long, or a source is missing.
    """

    name: str
    recipe_id: int
    amount: str
    grams: int
    missing: str
    cools: tuple[CoolingShown, ...]
    numbers: tuple[int, ...] = ()
    marked: bool = False


#: Keys of a recipe and of an order -> what was measured of that batch, where all of it kept the rule.
MeasuredWords = Mapping[tuple[int, int], str]


def batches_shown(
    rows: Iterable[BatchRow],
    together: Collection[tuple[int, int]] = (),
    measured: MeasuredWords | None = None,
    gone: Collection[tuple[int, int]] = (),
    steps_open: Collection[str] = (),
) -> list[BatchShown]:
    """Write the batches that are made hot.

    ``together`` are the keys of recipes and orders that break the rule only as other orders make them along. What is
    ``measured`` for all its orders has that in place of a verdict, and nothing to fill in. What was discarded for all
    of them (``gone``) says so, with room for the readings of what is made anew. ``steps_open`` are the codes of recipes
    with a step that nobody has said is cold.
    """
    shown = ((row, _as_measured(row, _batch_shown(row, together, steps_open), measured or {})) for row in rows)
    return [_as_gone(one) if all((row.recipe_id, order) in gone for order in row.orders) else one for row, one in shown]


def _as_gone(shown: BatchShown) -> BatchShown:
    words = gettext("Discarded: does not go out. The readings are of what is made anew.")
    cools = tuple(replace(one, verdict=words, marked=True) for one in shown.cools)
    return replace(shown, cools=cools, missing=shown.missing and words, marked=True)


def _as_measured(row: BatchRow, shown: BatchShown, measured: MeasuredWords) -> BatchShown:
    words = [measured.get((row.recipe_id, order), "") for order in sorted(row.orders)]
    if not words or not all(words):
        return shown
    verdict = "; ".join(dict.fromkeys(words))
    cools = tuple(replace(one, verdict=verdict, marked=False, takes="", readings=()) for one in shown.cools)
    return replace(shown, cools=cools, numbers=())


def _as_open(shown: CoolingShown, row: BatchRow, steps_open: Collection[str]) -> CoolingShown:
    """Return a cooling of a batch of which something is open: it is no good news by itself."""
    is_open = row.cold.missing is not None or row.cold.recipe.code in steps_open
    if shown.marked or not is_open:
        return shown
    return replace(shown, verdict=gettext("Not all of it is settled."), marked=True)


def _batch_shown(row: BatchRow, together: Collection[tuple[int, int]], steps_open: Collection[str]) -> BatchShown:
    among = row.is_among(together)
    return BatchShown(
        name=row.cold.recipe.name,
        recipe_id=row.recipe_id,
        amount=_amount(row),
        grams=max(1, round(row.cold.batches.grams)),
        missing="" if row.cold.missing is None else missing_sentence(row.cold.missing),
        cools=tuple(
            _as_late(
                _as_open(
                    replace(
                        cooling_shown(times, ends, loads, together=among, hours=row.hours),
                        unplanned=row.unplanned,
                    ),
                    row,
                    steps_open,
                ),
                row,
            )
            for (times, ends), loads in zip(row.times, row.loads, strict=True)
        ),
        numbers=tuple(range(1, count + 1)) if (count := _vessels(row)) > 1 else (),
        marked=row.cold.missing is not None and row.cold.missing.reason.code in {*NO_WAY, NO_SOURCE, *USED_UP},
    )


def _as_late(shown: CoolingShown, row: BatchRow) -> CoolingShown:
    """Return a cooling that says for which orders the batch is not cold before they leave, as they share it."""
    if not row.late:
        return shown
    words = gettext(
        "As one batch it is not cold before it leaves for %(orders)s, and no start is early enough by now: make it"
        " separately for each order, or divide it."
    )
    late = words % {"orders": display.joined(row.late)}
    return replace(shown, verdict=f"{shown.verdict} {late}", marked=True)


def _vessels(row: BatchRow) -> int:
    """Return in how many vessels these batches cool: each is measured for itself."""
    fills = (times.cycle.plan.fill for times, _ in row.times)
    return row.count * max((fill.count for fill in fills if fill is not None), default=1)


def _amount(row: BatchRow) -> str:
    """Write how many batches it is and how large, and on which of several days: 2 batches, each 5 lb; 3 in all."""
    each, whole = mass_words(row.cold.batches.each_kg * 1000), row.cold.batches.count
    words = {"count": row.count, "each": each, "whole": whole}
    if row.count == whole:
        many = ngettext("one batch, %(each)s", "%(count)s batches, %(each)s each", row.count) % words
    else:
        text = ngettext(
            "%(count)s of %(whole)s batches, %(each)s", "%(count)s of %(whole)s batches, %(each)s each", row.count
        )
        many = text % words
    return "; ".join([many, *made_words(row)])


def made_words(row: BatchRow) -> Iterator[str]:
    """Write on which of several days a batch is made, and for which orders where others than the sheet's share it."""
    if row.making is None:
        return
    day = making_words(row.making)
    if not row.shared:
        yield day
        return
    yield gettext("%(day)s as one batch for %(orders)s") % {"day": day, "orders": display.joined(row.shared)}


def making_words(making: Making) -> str:
    """Write on which day a batch is made, or for which day where no plan says when."""
    day = display.day(making.day)
    return (gettext("made on %(day)s") if making.planned else gettext("for orders handed over on %(day)s")) % {
        "day": day
    }


def vessels_words(needed: Iterable[VesselsNeeded]) -> list[tuple[str, bool]]:
    """Write how many of each vessel are full at once, each with whether there are fewer."""
    return [(_vessel_words(one), one.short) for one in needed]


def _vessel_words(one: VesselsNeeded) -> str:
    words = {"name": one.name, "count": one.at_once, "owned": one.owned}
    if one.owned is None:
        text = gettext("%(name)s: %(count)s at once; the number the kitchen has is not entered.")
    elif not one.short:
        text = gettext("%(name)s: %(count)s at once; the kitchen has %(owned)s.")
    else:
        text = gettext(
            "%(name)s: %(count)s at once, but the kitchen has %(owned)s. Make the batches one after the other, or use"
            " other vessels of the same depth."
        )
    return text % words


@dataclass(frozen=True, slots=True)
class ColdPart:
    """A step of a component in the cold: how long at least, and until it is how cold where cooling takes longer."""

    task: Task
    amount: str
    least: str
    until: str = ""


def cold_parts(parts: Iterable[tuple[Task, str]], rows: Iterable[BatchRow]) -> list[ColdPart]:
    """Write how long the components chill: as stated, or as the batch cools at the slow end if that is longer."""
    cooling: dict[tuple[str, int], BatchTimes] = {}
    for row in rows:
        for times, _ in row.times:
            place = row.cold.recipe.code, times.cycle.last_at
            # Of several days the batch that takes longest counts.
            cooling[place] = max(cooling.get(place, times), times, key=longest)
    return [cold_part(task, amount, cooling.get((task.of.code, task.place))) for task, amount in parts]


def longest(times: BatchTimes) -> float:
    """Return how long it takes at the slow end [min]; endless where it may never get cold."""
    return inf if times.trial.cold_slow is None else times.trial.cold_slow


def cold_part(task: Task, amount: str, times: BatchTimes | None) -> ColdPart:
    """Write how long a step of a component chills."""
    stated = (task.step.minutes or 0) + (task.step.wait_min or 0)
    least = display.duration(stated) if stated else ""
    if times is None:
        return ColdPart(task, amount, least)
    slow, cycle = times.trial.cold_slow, times.cycle
    until = gettext("until its core is at %(limit)s") % {"limit": display.temperature(cycle.plan.cold_c)}
    if times.trial.freezes is not None:
        return ColdPart(task, amount, "", gettext("%(until)s: measure it, no time can be estimated") % {"until": until})
    if slow is None:
        return ColdPart(task, amount, "", until)
    minutes = ceil(slow - cycle.before_last)
    longer = minutes > cycle.stages[-1].minutes
    return ColdPart(task, amount, display.duration(minutes), until) if longer else ColdPart(task, amount, least)


def cooling_shown(
    times: BatchTimes,
    ends: datetime | None,
    loads: LoadTimes = ONE,
    *,
    together: bool = False,
    hours: WorkingHours | None = None,
) -> CoolingShown:
    """Write one cooling of batches whose step ends at ``ends``, each of ``loads`` by its own time."""
    cycle, trial = times.cycle, times.trial
    readings = readings_by_load(cycle.plan, ends, loads, "batch")
    verdict, short = _verdict(trial), vessels_short(cycle)
    stands_out = trial.verdict != "untimed" and (trial.never or cools_slowly(trial) or trial.verdict != _MET)
    if short is not None:
        verdict, stands_out = (note_sentence(short) if not stands_out else f"{verdict} {note_sentence(short)}"), True
    # Figures of a part of what is made at once say nothing of the whole.
    part = together and trial.verdict != NOT_MET and not trial.never
    if part:
        whole = gettext("Does not meet the rule as one batch with the other orders.")
        verdict, stands_out = whole if short is None else f"{whole} {note_sentence(short)}", True
    return CoolingShown(
        after=str(cycle.after),
        vessels=in_vessels_words(cycle),
        places=_then(list(_places(times))),
        leaves="" if ends is None else display.moment(load_leaves(ends, loads)),
        limits=limits_by_load(cycle.plan, ends, loads, "batch", hours),
        readings=readings or (gettext("%(limit)s or colder") % {"limit": display.temperature(cycle.plan.cold_c)},),
        takes="" if trial.freezes or part else cold_words(trial),
        verdict=verdict,
        marked=stands_out,
        notes=tuple(note_sentence(note) for note in cycle.notes if note != short),
        check_c=cycle.plan.cold_c,
        counts=clocks_words(cycle.plan),
    )


def _verdict(found: Trial) -> str:
    """Write the rule's verdict; what may never get cold has none that is better."""
    if found.never:
        return gettext("May never get to %(limit)s there.") % {"limit": display.temperature(found.plan.cold_c)}
    if cools_slowly(found):
        return slow_words(found)
    return _with_advice(found.verdict)


def _with_advice(verdict: Verdict) -> str:
    """Write a verdict and what to do about it."""
    return " ".join(gettext(words) for words in (VERDICTS[verdict], _AFTER.get(verdict)) if words)


def _then(places: Sequence[str]) -> str:
    """Write places one after the other: the rack, then the walk-in."""
    return gettext(", then ").join(places)


#: The verdicts of a product's coolings from the worst on.
_WORST: Final[tuple[Verdict, ...]] = ("freezes", NOT_MET, "likely", "kept")


def _worst(cold: ProductCold) -> Verdict | None:
    given = {time.verdict for time in cold.times if not time.never}
    return next((verdict for verdict in _WORST if verdict in given), None)


def product_verdict(cold: ProductCold) -> str:
    """Write the worst verdict of a product's coolings; what may never get cold, or has no rule with times, has none."""
    found = _worst(cold)
    if found == _MET and cold.missing is not None:
        return gettext("Not all of it is settled.")
    return "" if found is None else _with_advice(found)


def product_measured(cold: ProductCold) -> bool:
    """Return whether the verdict stands out, because something has to be measured or changed."""
    found = _worst(cold)
    return found not in (None, _MET) or (found == _MET and cold.missing is not None)


def _places(times: BatchTimes) -> Iterator[str]:
    for stage in times.cycle.stages:
        place = stage_place(stage)
        if stage.air_movement == ICE_BATH:
            every = stage.stage.stirred_every_min
            words = {"place": place, "time": _bath_end(stage), "ice": bath_ice_words(times.cycle)}
            if every is None:
                yield gettext("%(place)s %(time)s, %(ice)s") % words
            else:
                words["every"] = display.duration(every)
                yield gettext("%(place)s %(time)s, stirred every %(every)s, %(ice)s") % words
        else:
            yield place


def _bath_end(stage: CycleStage) -> str:
    """Write until when it stands in its ice bath."""
    time = {"time": display.duration(stage.minutes)}
    if stage.step.bath_min is not None or (stage.step.bath_to_c is None and stage.step.wait_min):
        return gettext("for %(time)s") % time
    if stage.step.bath_to_c is None:
        return gettext("for about %(time)s") % time
    to = {"limit": display.temperature(float(stage.step.bath_to_c))}
    return gettext("down to %(limit)s, about %(time)s") % (time | to)
