"""What has to be measured of an order, and what was, in words."""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from typing import Final

from django.utils.translation import gettext, ngettext
from django.utils.translation import gettext_noop as marked

from catalog.cooling.batch_dividing import Dividing
from catalog.cooling.missing_presenters import note_sentence
from catalog.web import display
from orders.cooling_log.deadlines import deadlines, first_missed
from orders.cooling_log.models import CoolingRecord, Reading
from orders.cooling_log.selectors import CoolingMark, Marks, Measurable
from orders.cooling_log.services import shows_met
from orders.cooling_log.together import Together
from orders.orders.models import Order
from orders.records.presenters import reading_words

_ACTIONS: Final[Mapping[str, str]] = {
    "reheated": marked("Reheated and cooled once more: measure it again."),
    "discarded": marked("Discarded: it does not go out."),
}
#: Of an earlier cooling.
_DONE: Final[Mapping[str, str]] = {
    "reheated": marked("The first cooling did not meet the rule: reheated and cooled once more."),
    "discarded": marked("The first cooling did not meet the rule: discarded and made again."),
}
SECOND_TRY: Final = marked(
    "The US Food Code's cooling section does not mention a second attempt. Forms of health departments reheat to "
    "165 °F (74 °C) and cool once more, or discard. Ask yours; in doubt, discard."
)


@dataclass(frozen=True, slots=True)
class MarkShown:
    """A mark in words: ``kind`` is stop, mind or plain; ``by`` is the user name of whoever recorded what it says.

    ``brief`` is its reason alone, where details are folded.
    """

    kind: str
    name: str
    sentence: str
    by: str = ""
    after: str = ""
    order_number: str = ""
    order_id: int = 0
    item: str = ""
    brief: str = ""
    dismissible: bool = False
    changed: bool = False


def outcome_words(outcome: str) -> str:
    """Write the outcome of a record."""
    return str(CoolingRecord.Outcome(outcome).label).lower()


def reading_sentence(reading: Reading) -> str:
    """Write a reading with its day: 41 °F on Sunday, December 13, 2026, 3:10 PM."""
    return gettext("%(reading)s on %(moment)s") % {
        "reading": reading_words(reading.celsius),
        "moment": display.moment(reading.at),
    }


def mark_shown(mark: CoolingMark, order_number: str = "") -> MarkShown:
    """Write a mark."""
    kind, sentence = {
        "owed": _owed,
        "unknown": _owed,
        "cooling": _cooling,
        "missed": _missed,
        "met": _met,
        "not_met": _not_met,
    }[mark.state](mark)
    return MarkShown(
        kind=kind,
        name=mark.name,
        sentence=sentence,
        by=_recorded_by(mark),
        after=_after(mark),
        order_number=order_number,
        order_id=mark.order_id,
        item=str(mark.item),
        brief=_brief(mark),
        dismissible=mark.dismissible,
        changed=mark.changed and not mark.settled,
    )


def _recorded_by(mark: CoolingMark) -> str:
    if mark.missed is not None and mark.state == "missed":
        return mark.missed.record.recorded_by
    return mark.record.recorded_by if mark.record else ""


def _brief(mark: CoolingMark) -> str:
    if mark.state == "not_met":
        return gettext("The cooling rule was not met")
    return gettext("A cooling limit was missed") if mark.state == "missed" else _why(mark)


def _owed(mark: CoolingMark) -> tuple[str, str]:
    return "stop", f"{_to_measure(mark)}{_still_open(mark)}"


def _still_open(mark: CoolingMark) -> str:
    """Write which vessels of a batch, or loads of a product, are still to be measured, where others were."""
    numbers = [str(number) for number in mark.open_parts]
    if not numbers:
        return ""
    words = {"parts": mark.parts, "numbers": display.joined(numbers)}
    text = ngettext(
        "Number %(numbers)s of %(parts)s is still to be measured.",
        "Numbers %(numbers)s of %(parts)s are still to be measured.",
        len(numbers),
    )
    return f" {text % words}"


_NOT_STATED: Final = marked("How this cools is not stated")
#: What leaves a batch without a way to get cold -> its words.
_NO_WAY: Final[Mapping[str, str]] = {
    "does_not_fit": marked("It does not fit its vessels"),
    "no_cold_stage": marked("No step gets it cold"),
    "more_than_owned": marked("It needs more vessels than the kitchen has"),
    "freezes": marked("The outside freezes before the core is cold, so the rule cannot be judged"),
    "cold_too_short": marked("It leaves the cold before it is cold"),
    "short_before_restated": marked("It leaves the cold before it is cold"),
    "chill_not_reached": marked("It cannot be as cold as stated after its time in the cold"),
    "no_source": marked("Entered as safe at room temperature without a source"),
    **dict.fromkeys(
        (marked("bath_ends_warm"), marked("bath_ends_early")),
        marked("Its ice bath ends warm, and no chill step follows"),
    ),
}


def _why(mark: CoolingMark) -> str:
    if not mark.judged:
        return gettext("Whether it is cold in time is not known while the catalog has an error")
    if mark.never:
        return gettext("May never get cold there")
    if mark.room_safe:
        return gettext(
            "Not cold in time by earlier steps, and now entered as safe at room temperature. Which is right? If the"
            " source was at hand when it was made, say so at the hand-over"
        )
    if mark.earlier and mark.breached_at is not None:
        return gettext(
            "Not cold in time, or not stated, by the steps as of %(moment)s, when it may have been in the making"
        ) % {"moment": display.moment(mark.breached_at)}
    if mark.earlier:
        return gettext("Not cold in time, or not stated, by the steps its quote was sent with")
    if mark.short is not None:
        return note_sentence(mark.short).rstrip(".")
    if not mark.why:
        return gettext("Not cold in time by its steps")
    return gettext(_NO_WAY.get(mark.why, _NOT_STATED))


def _to_measure(mark: CoolingMark) -> str:
    why = _why(mark)
    if mark.together is not None:
        return _divide(mark.together, why)
    if mark.override is None and mark.earlier:
        return gettext("%(why)s. Measure it, or make it again by today’s steps and measure that.") % {"why": why}
    if mark.override is None:
        text = gettext("%(why)s, and no measurement is planned instead: ask before it leaves.")
        return text % {"why": why}
    measured, by = mark.override.measured.rstrip("."), mark.override.measured_by
    if mark.changed:
        text = gettext(
            "%(why)s. The steps or the cooling changed since it was recorded what is measured instead (“%(measured)s”,"
            " by %(by)s): the owner checks it and records it again."
        )
        return text % {"why": why, "measured": measured, "by": by}
    return gettext("%(why)s. Measure: %(measured)s. By %(by)s.") % {"why": why, "measured": measured, "by": by}


def _divide(together: Together, why: str) -> str:
    """Write what a batch breaks only as it is made for several orders at once, and how to divide it."""
    words = {"why": why, "orders": display.joined(together.numbers)}
    ways = list(_ways(together.ways))
    if not ways:
        text = gettext(
            "%(why)s when made as one batch for %(orders)s: make it separately for each order, or measure it."
        )
        return text % words
    text = gettext("%(why)s when made as one batch for %(orders)s: %(ways)s, or measure it.")
    return text % (words | {"ways": display.either(ways)})


def _ways(found: Dividing) -> Iterator[str]:
    if found.batches is not None:
        yield gettext("make it in %(count)s batches, about %(time)s until the last is cold") % {
            "count": found.batches,
            "time": display.duration(found.minutes),
        }
    if found.vessels is not None:
        words = {"count": found.vessels, "vessel": found.vessel}
        yield gettext("divide it over %(count)s × %(vessel)s") % words


def _cooling(mark: CoolingMark) -> tuple[str, str]:
    readings = mark.record.read if mark.record else ()
    far = display.joined([reading_sentence(one) for one in readings])
    return "stop", f"{_to_measure(mark)}{_still_open(mark)} {gettext('So far %(readings)s') % {'readings': far}}"


def _missed(mark: CoolingMark) -> tuple[str, str]:
    if mark.missed is None:
        return _cooling(mark)
    limit, record = mark.missed.limit, mark.missed.record
    facts = {"limit": display.temperature(limit.limit_c), "by": display.moment(limit.due)}
    facts |= {"part": str(record.part), "parts": str(record.parts), "read": reading_sentence(limit.reading)}
    if record.part:
        words = gettext(
            "Stop: the cooling limit was missed. Vessel %(part)s of %(parts)s had to be at %(limit)s or colder by"
            " %(by)s, and was %(read)s"
        )
    else:
        words = gettext(
            "Stop: the cooling limit was missed. It had to be at %(limit)s or colder by %(by)s, and was %(read)s"
        )
    return "stop", words % facts


def _last(mark: CoolingMark) -> str:
    readings = mark.record.read if mark.record else ()
    return reading_sentence(readings[-1]) if readings else ""


def _met(mark: CoolingMark) -> tuple[str, str]:
    return "plain", gettext("Measured: %(reading)s") % {"reading": _last(mark)}


def _not_met(mark: CoolingMark) -> tuple[str, str]:
    return "stop", gettext("The cooling rule was not met: %(reading)s") % {"reading": _last(mark)}


def _after(mark: CoolingMark) -> str:
    """Write what follows the name of whoever recorded it."""
    if mark.record is not None and mark.state == "not_met":
        return gettext(_ACTIONS[mark.record.action])
    if mark.state == "missed":
        return gettext("Do not use it. Record “Not met” and what was done with it.")
    if mark.failed is not None:
        return gettext(_DONE[mark.failed.action])
    return ""


def batch_marks(orders: Iterable[Order], marks: Marks) -> list[MarkShown]:
    """Write the marks of batches, order by order."""
    return [
        mark_shown(mark, order.number)
        for order in orders
        for mark in marks.get(order.pk, {}).values()
        if mark.item.kind == "recipe"
    ]


def marks_shown(orders: Iterable[Order], marks: Marks) -> dict[int, list[MarkShown]]:
    """Write the marks of orders, by order."""
    return {
        order.pk: [mark_shown(mark, order.number) for mark in marks[order.pk].values()]
        for order in orders
        if order.pk in marks
    }


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
        key=str(one.item),
        name=one.name,
        rule=one.limits.rule,
        limits=_limits_words(one),
        records=tuple((row, _readings_words(row), _outcome_sentence(row, one)) for row in one.records),
    )


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


def _readings_words(row: CoolingRecord) -> str:
    readings = display.joined([reading_sentence(one) for one in row.read])
    if not row.part:
        return readings
    words = {"number": row.part, "count": row.parts, "readings": readings}
    if row.product_id:
        return gettext("Load %(number)s of %(count)s: %(readings)s") % words
    return gettext("Vessel %(number)s of %(count)s: %(readings)s") % words


def _outcome_sentence(row: CoolingRecord, one: Measurable) -> str:
    started_at = one.began(row.part) if row == one.going_on_in(row.part) else None
    if started_at is not None and first_missed(one.limits, started_at, row.read) is not None:
        return gettext("A limit of today was missed: stop, and record “Not met”")
    action = f". {row.get_action_display()}" if row.action else ""
    return f"{row.get_outcome_display()}{action}"


def shown_met_words(items: Iterable[Measurable]) -> list[str]:
    """Write for which desserts the readings show already that the rule was kept: no other reading is needed."""
    return [
        _shown_met(one, part)
        for one in items
        for part in range(one.parts + 1)
        if (row := one.going_on_in(part)) is not None and row.part == part and shows_met(one, part)
    ]


def _shown_met(one: Measurable, part: int) -> str:
    load = one.item.kind == "product"
    words = gettext("%(name)s, load %(number)s") if load else gettext("%(name)s, vessel %(number)s")
    which = words % {"name": one.name, "number": part} if part else one.name
    return gettext(
        "%(which)s: the readings show that the rule was met. Choose “Met” and record it; no other reading is needed."
    ) % {"which": which}
