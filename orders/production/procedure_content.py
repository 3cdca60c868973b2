"""The kitchen's written procedure for time out of the cold: its sentences, for the page and the PDF."""

from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date
from typing import Final

from django.utils.translation import gettext
from django.utils.translation import gettext_noop as marked

from catalog.cooling.batches import vessels_short
from catalog.cooling.missing_presenters import missing_sentence, note_sentence
from catalog.cooling.time_used import USED_UP
from catalog.kitchen.duty_presenters import DutyShown, records_shown
from catalog.kitchen.models import Kitchen
from catalog.kitchen.presenters import clause_named
from catalog.web import display
from costing.chilling import COLD_C, COOKED, NOT_MET, Profile, TimeOutClause, due_times
from orders.cooling_log.remedies_left_presenters import SECOND_TRY
from orders.production.procedure import Procedure, ProcedureBatch, Unanswered
from orders.production.procedure_foods_content import (
    BatchWritten,
    FoodWritten,
    batch_written,
    food_written,
    part_sentence,
    stand_sentence,
    warm_sentence,
)
from orders.quotes.cooling.remark_presenters import claim_words

_OTHER_SECOND_TRY: Final = marked(
    "Discard it, unless your authority accepts that it is reheated and cooled once more: ask before you need it."
)
#: Verdict: the outside freezes first.
_FREEZES: Final = "freezes"
#: Stands in a sentence for the names it is of; no name has it.
_NAME: Final = "\N{OBJECT REPLACEMENT CHARACTER}"


@dataclass(frozen=True, slots=True)
class ProcedureContent:
    """The procedure in words."""

    title: str
    asked: tuple[DutyShown, ...]
    foods: tuple[FoodWritten, ...]
    batches: tuple[BatchWritten, ...]
    stands: tuple[str, ...]
    not_answered: tuple[str, ...]
    unanswered: tuple[str, ...]
    not_covered: tuple[str, ...]
    ways: tuple[str, ...]
    cooling_rules: tuple[str, ...]
    measured: tuple[str, ...]
    failed: tuple[str, ...]
    limits: tuple[str, ...]
    checks: str
    cautions: tuple[str, ...]


def file_title(day: date) -> str:
    """Write what the PDF of a day is called in the list of background work."""
    return gettext("Written procedure, %(day)s") % {"day": display.day_alone(day)}


def procedure_content(found: Procedure) -> ProcedureContent:
    """Write the procedure."""
    by_time = found.kitchen.food_safety == Kitchen.FoodSafety.US
    if by_time:
        title = gettext("Time as a public health control: written procedure")
    else:
        title = gettext("Cooling and time out of the cold: written procedure")
    return ProcedureContent(
        title=title,
        asked=records_shown(found.kitchen.food_safety),
        foods=tuple(map(food_written, found.foods)),
        batches=tuple(map(batch_written, found.batches)),
        stands=tuple(_stands(found)),
        not_answered=tuple(_not_answered(found)),
        unanswered=tuple(_unanswered(found)),
        not_covered=tuple(_not_covered(found)),
        ways=tuple(_ways(found.rule)),
        cooling_rules=tuple(_cooling_rules(found)),
        measured=tuple(_measured(found.rule)),
        failed=tuple(_failed(found.rule, by_time=by_time)),
        limits=tuple(display.temperature(limit_c) for limit_c, _ in due_times(found.rule.legs)),
        checks=found.kitchen.checks_note,
        cautions=tuple(_cautions(by_time=by_time)),
    )


def _stands(found: Procedure) -> Iterator[str]:
    for warm in found.warm:
        yield warm_sentence(warm)
    for stand in found.stands:
        yield stand_sentence(stand, found.rule.most_out)


def _not_covered(found: Procedure) -> Iterator[str]:
    ticked = [one.name for one in found.stable if not one.source]
    if ticked:
        text = gettext("%(names)s: entered in the catalog as safe at room temperature.")
        yield text % {"names": display.joined(ticked)}
    for one in found.stable:
        if one.source:
            words = {"name": one.name, "source": one.source.rstrip(".")}
            yield gettext("%(name)s: safe at room temperature. Source: %(source)s.") % words
    yield from map(claim_words, found.never_hot)
    if found.others:
        yield gettext(
            "%(names)s: no step states a temperature, and nothing states that it is held cold. Whether it has to be"
            " kept cold is for the kitchen to say; this procedure does not cover it."
        ) % {"names": display.joined(found.others)}


def _not_answered(found: Procedure) -> Iterator[str]:
    """Write the steps that nobody has answered for, a line for each recipe or product."""
    steps: dict[str, list[str]] = defaultdict(list)
    for claim, step in found.steps_open:
        steps[claim.name].append(gettext("“%(step)s”") % {"step": step})
    text = gettext("%(name)s, at %(steps)s: not answered yet whether anything heats it.")
    for name, each in steps.items():
        yield text % {"name": name, "steps": display.joined(each)}


def _unanswered(found: Procedure) -> Iterator[str]:
    """Write what is not answered, a line for each food and hot step; what is the same of several foods once."""
    if names := list(_breaking(found)):
        text = gettext("%(names)s: by the estimate the cooling rule is not met. Its row says why.")
        yield text % {"names": display.joined(names)}
    if names := list(_freezing(found)):
        text = gettext(
            "%(names)s: the outside freezes before the core is cold, so the rule cannot be judged. Measure it each"
            " time."
        )
        yield text % {"names": display.joined(names)}
    yield from _short(found)
    same: dict[str, list[str]] = defaultdict(list)
    for one in found.unanswered:
        # What is made from a batch that needs more vessels than there are is named with it already.
        if one.part is not None and one.part.cold.short is not None:
            continue
        same[_unanswered_of(one)].append(one.name)
    for words, names in same.items():
        yield words.replace(_NAME, display.joined(names))


def _breaking(found: Procedure) -> Iterator[str]:
    """Yield the names of the foods and batches that break the rule by today's steps."""
    for food in found.foods:
        if any(time.verdict == NOT_MET or time.never for time in food.cold.times):
            yield food.name
    for batch in found.batches:
        if any(each.trial.verdict == NOT_MET or each.trial.never for each in batch.cold.times):
            yield batch.cold.recipe.name


def _freezing(found: Procedure) -> Iterator[str]:
    """Yield the names of the foods and batches of which the outside freezes first, under a rule with times."""
    for food in found.foods:
        if any(time.verdict == _FREEZES and time.legs and not time.never for time in food.cold.times):
            yield food.name
    for batch in found.batches:
        tried = [each.trial for each in batch.cold.times]
        if any(one.verdict == _FREEZES and one.legs and not one.never for one in tried):
            yield batch.cold.recipe.name


def _short(found: Procedure) -> Iterator[str]:
    """Write which batches, with what is made from them, and foods need more vessels or molds than the kitchen has."""
    needed = [(_with_products(batch, found), batch.cold.short) for batch in found.batches]
    needed += [([food.name], vessels_short(cycle)) for food in found.foods for cycle in food.cycles]
    for names, short in needed:
        if short is not None:
            text = gettext("%(name)s: %(why)s In fewer vessels it may not be cold in time.")
            yield text % {"name": display.joined(names), "why": note_sentence(short)}
    for one in found.molds_short:
        text = gettext(
            "%(name)s: one load needs %(count)s × %(mold)s, and the kitchen has %(owned)s. Enter the load that is made"
            " at once."
        )
        yield text % {"name": one.name, "count": one.count, "mold": one.mold, "owned": one.owned}


def _with_products(batch: ProcedureBatch, found: Procedure) -> list[str]:
    """Return the name of a batch, and of the products that it goes into."""
    recipe = batch.cold.recipe
    return list(dict.fromkeys([recipe.name, *found.made_from.get(recipe.code, ())]))


def _unanswered_of(one: Unanswered) -> str:
    """Write what is not answered of a food, with ``_NAME`` where its name stands."""
    if one.part is not None:
        return gettext("%(name)s: %(part)s") % {"name": _NAME, "part": part_sentence(one.part)}
    if one.step is not None:
        text = gettext("%(name)s, “%(step)s”: its temperature then, and how it gets cold, are not stated.")
        return text % {"name": _NAME, "step": one.step}
    if one.missing is None:
        text = gettext("%(name)s: contains %(holds)s, and nothing states how it is kept cold.")
        return text % {"name": _NAME, "holds": display.joined(one.holds)}
    words = {"name": _NAME, "why": missing_sentence(one.missing)}
    if one.missing.reason.code in USED_UP:
        return gettext("%(name)s: its time out of the cold is used up. %(why)s") % words
    return gettext("%(name)s: its cooling has no estimate. %(why)s") % words


def _measured(rule: Profile) -> Iterator[str]:
    """Write what is measured of what cools, when, and what is written down."""
    yield gettext(
        "Put a clean, calibrated probe into the core of the warmest piece, or the center of the deepest vessel. Clean"
        " it before each food."
    )
    yield gettext("When cooling begins, write the time and the temperature in the record.")
    due = due_times(rule.legs)
    for limit_c, minutes in due:
        text = gettext("Measure again, at the latest %(time)s after cooling began: %(limit)s or colder.")
        yield text % {"time": display.duration(minutes), "limit": display.temperature(limit_c)}
    if not due:
        yield gettext("Measure until it is cold, and write down how long that took: the rule states no times.")
    if rule.code == COOKED:
        yield gettext("Food under the rule for ingredients at room temperature has its own limit, in its row.")


def _failed(rule: Profile, *, by_time: bool) -> Iterator[str]:
    """Write what is done when a limit is not kept."""
    yield gettext(
        "Whoever finds a limit missed sets the food apart, marks it “do not use”, tells the person in charge, and"
        " writes in the record what was done."
    )
    due = due_times(rule.legs)
    second_try = gettext(SECOND_TRY if by_time else _OTHER_SECOND_TRY)
    for at, (limit_c, minutes) in enumerate(due):
        words = {
            "limit": display.temperature(limit_c),
            "time": display.duration(minutes),
            "what": gettext("Discard it.") if at == len(due) - 1 else second_try,
        }
        yield gettext("Not at %(limit)s within %(time)s: %(what)s") % words
    if not due:
        yield gettext("Not cold in the time its row states: %(what)s") % {"what": gettext(_OTHER_SECOND_TRY)}
    yield gettext("Then find the cause, and change the vessel, the depth or the place before the next batch.")


def _ways(rule: Profile) -> Iterator[str]:
    """Write what is done with food that leaves the cold, step by step."""
    limit = {"limit": display.temperature(COLD_C if rule.cold_c is None else rule.cold_c)}
    if rule.cold_c is None:
        yield (
            gettext(
                "Before food leaves the cold, measure the core of a piece: %(limit)s or colder, the kitchen’s own"
                " limit, because the rule states no temperature. Keep what is warmer in the cold."
            )
            % limit
        )
    else:
        yield (
            gettext(
                "Before food leaves the cold, measure the core of a piece: %(limit)s or colder. Keep what is warmer in"
                " the cold."
            )
            % limit
        )
    whole = min((one for one in rule.times_out if one.warmest_c is None), key=lambda one: one.minutes, default=None)
    if whole is None:
        yield gettext("Keep it cold until it is served: the rule states no time out of the cold, and none is entered.")
        return
    yield from _timed(whole)
    for clause in rule.times_out:
        if clause.warmest_c is not None and whole.kind != "house":
            yield _watched(clause)
    yield gettext("Throw away what is not marked, or is past the time marked on it.")


def _timed(clause: TimeOutClause) -> Iterator[str]:
    most = display.duration(clause.minutes)
    words = {"most": most, "source": clause_named(clause)}
    yield (
        gettext(
            "Mark each box or tray when it leaves the cold: the time it left, and the time %(most)s later, by which it"
            " is eaten or thrown away."
        )
        % words
    )
    if clause.under:
        text = gettext(
            "It is eaten or thrown away less than %(most)s after leaving the cold: travel, setup and time on the table"
            " together. %(source)s"
        )
    else:
        text = gettext(
            "It is eaten or thrown away within %(most)s of leaving the cold: travel, setup and time on the table"
            " together. %(source)s"
        )
    yield text % words
    yield gettext(
        "Where a dessert’s own text or the owner’s record for an order states a shorter time, that time counts: it"
        " stands on the hand-over sheet and the label."
    )
    if clause.back_minutes is None:
        yield gettext("What was out does not go back into the cold to be served later.")
    else:
        text = gettext(
            "It may go back into the cold if it was out for less than %(time)s; all times out are added up and written"
            " down."
        )
        yield text % {"time": display.duration(clause.back_minutes)}


def _watched(clause: TimeOutClause) -> str:
    return gettext(
        "Up to %(most)s only for food that is monitored with a probe and never gets above %(warmest)s: mark it with the"
        " time it left and the time %(most)s later, and throw it away when either limit is passed. %(source)s"
    ) % {
        "most": display.duration(clause.minutes),
        "warmest": display.temperature(clause.warmest_c),
        "source": clause_named(clause),
    }


def _cooling_rules(found: Procedure) -> Iterator[str]:
    cycles = [cycle for food in found.foods for cycle in food.cycles]
    cycles += [each.cycle for batch in found.batches for each in batch.cold.times]
    rules = {cycle.plan.rule.code: cycle.plan.rule for cycle in cycles}
    for rule in rules.values() or [found.rule]:
        yield gettext("%(title)s. %(source)s.") % {"title": gettext(rule.title), "source": gettext(rule.source)}


def _cautions(*, by_time: bool) -> Iterator[str]:
    if by_time:
        yield gettext(
            "States and counties adopt the Food Code in editions and with changes of their own; Washington’s text of "
            "2009 and Indiana’s (410 IAC 7-24-193) have the 4 hours only, and in Indiana the authority approves these "
            "procedures before they are used. The authority decides whether time may be used, and whether this "
            "procedure is enough: ask it before you begin."
        )
    else:
        yield gettext("The local authority decides what has to be in writing, and whether this is enough: ask it.")
    yield gettext(
        "Cooling times and verdicts are estimates from shape and composition. A calibrated probe at the warmest point"
        " has the last word."
    )
    yield gettext("This list is as of the day it is printed: print it again when a product or a step changes.")
