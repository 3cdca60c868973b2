"""What can be measured of an order and what was recorded, in words for the page of measurements."""

from collections.abc import Iterable
from dataclasses import dataclass

from django.utils.translation import gettext

from catalog.web import display
from orders.cooling_log.deadlines import Limits, deadlines, first_missed
from orders.cooling_log.forms import cooling_name
from orders.cooling_log.measurables import Measurable
from orders.cooling_log.models import CoolingRecord
from orders.cooling_log.reading_presenters import of_step, reading_sentence
from orders.cooling_log.services import shows_met
from orders.quotes.cooling.presenters import rule_words


@dataclass(frozen=True, slots=True)
class MeasurableShown:
    """A dessert on the page of measurements: its limits and records in words."""

    key: str
    name: str
    rule: str
    limits: str
    records: tuple[tuple[CoolingRecord, str, str], ...]


def measurable_shown(one: Measurable) -> MeasurableShown:
    """Write what is asked of a dessert, and what was recorded."""
    return MeasurableShown(
        key=one.key,
        name=cooling_name(one),
        rule=_rule_words(one.limits),
        limits=_limits_words(one),
        records=tuple((row, _readings_words(row, one), _outcome_sentence(row, one)) for row in one.records),
    )


def _rule_words(limits: Limits) -> str:
    """Write the rule by which something is measured; of what cools more than once, the step that each is about."""
    if not limits.rule:
        return ""
    words = rule_words(limits.rule, limits.part)
    others = "; ".join(rule_words(rule, step) for step, rule in limits.others)
    text = words[:1].upper() + words[1:]
    return gettext("%(rule)s. By another rule: %(others)s") % {"rule": text, "others": others} if others else text


def begins_words(items: Iterable[Measurable]) -> str:
    """Write when cooling begins by the rules of what is measured."""
    starts = {one.limits.legs[0].from_c for one in items if one.limits.legs}
    warm = [display.temperature(start) for start in sorted(filter(None, starts), reverse=True)]
    if not warm:
        return gettext("Cooling begins when it leaves the heat.")
    text = gettext("Cooling begins when it leaves the heat, or is at %(temperatures)s.")
    return text % {"temperatures": display.joined(warm)}


def _limits_words(one: Measurable) -> str:
    going_on = one.going_on
    one = one if going_on is None else one.of_batch(common=bool(going_on.common))
    limits = one.limits
    started_at = None if going_on is None else one.began(going_on.part)
    if going_on is None or started_at is None or not limits.legs:
        return gettext("Cold is %(limit)s or colder.") % {"limit": display.temperature(limits.limit_c)}
    each = [
        gettext("%(limit)s by %(time)s") % {"limit": display.temperature(limit_c), "time": display.clock(by)}
        for limit_c, by in deadlines(limits, started_at, going_on.read)
    ]
    words = {"time": display.clock(started_at), "limits": display.joined(each)}
    return gettext("Began %(time)s: %(limits)s.") % words


def _readings_words(row: CoolingRecord, one: Measurable) -> str:
    words = _of_part(row)
    if not row.common:
        return words
    numbers = sorted(order.number for order in one.made_for if order.pk in row.common)
    return gettext("One batch for %(orders)s. %(readings)s") % {"orders": display.joined(numbers), "readings": words}


def _of_part(row: CoolingRecord) -> str:
    readings = of_step(row, display.joined([reading_sentence(one) for one in row.read]))
    if not row.part:
        return readings
    words = {"number": row.part, "count": row.parts, "readings": readings}
    if row.product_id:
        return gettext("Load %(number)s of %(count)s: %(readings)s") % words
    return gettext("Vessel %(number)s of %(count)s: %(readings)s") % words


def _outcome_sentence(row: CoolingRecord, one: Measurable) -> str:
    one = one.of_batch(common=bool(row.common))
    started_at = one.began(row.part) if row == one.going_on_in(row.part) else None
    if started_at is not None and first_missed(one.limits, started_at, row.read) is not None:
        return gettext("A limit of today was missed: stop, and record “Not met”")
    action = f". {row.get_action_display()}" if row.action else ""
    return f"{row.get_outcome_display()}{action}"


def shown_met_words(items: Iterable[Measurable]) -> list[str]:
    """Write for which desserts the readings show already that the rule was kept: no other reading is needed."""
    return [
        _shown_met(one, part)
        for each in items
        for one in each.batches
        for part in range(one.parts + 1)
        if (row := one.going_on_in(part)) is not None and row.part == part and shows_met(one, part)
    ]


def _shown_met(one: Measurable, part: int) -> str:
    load = one.item.kind == "product"
    words = gettext("%(name)s, load %(number)s") if load else gettext("%(name)s, vessel %(number)s")
    which = words % {"name": cooling_name(one), "number": part} if part else cooling_name(one)
    return gettext(
        "%(which)s: the readings show that the rule was met. Choose “Met” and record it; no other reading is needed."
    ) % {"which": which}
