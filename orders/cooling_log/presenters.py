"""What has to be measured of an order, and what was, in words."""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from typing import Final

from django.utils.translation import gettext

from catalog.cooling.batch_dividing import Dividing
from catalog.cooling.missing_presenters import note_sentence
from catalog.web import display
from orders.cooling_log.models import CoolingRecord, Reading
from orders.cooling_log.selectors import CoolingMark, Marks, Measurable
from orders.cooling_log.services import deadlines, shows_met
from orders.cooling_log.together import Together
from orders.orders.models import Order
from orders.records.presenters import reading_words

_ACTIONS: Final[Mapping[str, str]] = {
    "reheated": "Reheated and cooled once more: measure it again.",
    "discarded": "Discarded: it does not go out.",
}
#: The same, of an earlier cooling.
_DONE: Final[Mapping[str, str]] = {"reheated": "reheated and cooled once more", "discarded": "discarded and made anew"}
SECOND_TRY: Final = (
    "The US Food Code's cooling section names no second try. Forms of health departments reheat to 165 °F (74 °C) and "
    "cool once more, or discard. Ask yours; in doubt, discard."
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


def outcome_words(outcome: str) -> str:
    """Write the outcome of a record."""
    return CoolingRecord.Outcome(outcome).label.lower()


def reading_sentence(reading: Reading) -> str:
    """Write a reading with its day: 41 °F on Sunday, December 13, 2026, 3:10 PM."""
    return f"{reading_words(reading.celsius)} on {display.moment(reading.at)}"


def mark_shown(mark: CoolingMark, order_number: str = "") -> MarkShown:
    """Write a mark."""
    kind, sentence = {
        "owed": _owed,
        "unknown": _owed,
        "cooling": _cooling,
        "met": _met,
        "not_met": _not_met,
    }[mark.state](mark)
    return MarkShown(
        kind=kind,
        name=mark.name,
        sentence=sentence,
        by=mark.record.recorded_by if mark.record else "",
        after=_after(mark),
        order_number=order_number,
        order_id=mark.order_id,
        item=str(mark.item),
        brief=gettext("The cooling rule was not kept") if mark.state == "not_met" else _why(mark),
        dismissible=mark.dismissible,
    )


def _owed(mark: CoolingMark) -> tuple[str, str]:
    return "stop", f"{_to_measure(mark)}{_still_open(mark)}"


def _still_open(mark: CoolingMark) -> str:
    """Write which vessels of a batch are still to be measured, where others were."""
    numbers = [str(number) for number in mark.open_parts]
    return f" Of {mark.parts} vessels, still to measure: {display.joined(numbers)}." if numbers else ""


#: What leaves a batch without a way to get cold -> its words.
_NO_WAY: Final[Mapping[str, str]] = {
    "does_not_fit": "It does not fit its vessels",
    "no_cold_stage": "No step gets it cold",
    "more_than_owned": "It needs more vessels than the kitchen has",
    "freezes": "Its rim freezes before its middle is cold, so the rule cannot be judged",
    "cold_too_short": "It leaves the cold before it is cold",
    "no_source": "Ticked as safe at room temperature without a source",
    **dict.fromkeys(("bath_ends_warm", "bath_ends_early"), "Its ice bath ends warm, and no stay in the cold follows"),
}


def _why(mark: CoolingMark) -> str:
    if not mark.judged:
        return "Whether it is cold in time is not known while the catalog has an error"
    if mark.never:
        return "May never get cold there"
    if mark.room_safe:
        return (
            "Not cold in time by earlier steps, and entered as safe at room temperature by now. Which is right? If the"
            " source was in hand when it was made, say so at the hand-over"
        )
    if mark.earlier and mark.breached_at is not None:
        moment = display.moment(mark.breached_at)
        return f"Not cold in time, or not stated, by the steps of {moment}, when it may have been in the making"
    if mark.earlier:
        return "Not cold in time by the steps its quote was sent with, or not stated"
    if mark.short is not None:
        return note_sentence(mark.short).rstrip(".")
    if not mark.why:
        return "Not cold in time by its steps"
    return _NO_WAY.get(mark.why, "Nobody has stated how this cools")


def _to_measure(mark: CoolingMark) -> str:
    why = _why(mark)
    if mark.together is not None:
        return _divide(mark.together, why)
    if mark.override is None and mark.earlier:
        return f"{why}. Measure it, or make it anew by today’s steps and measure that."
    if mark.override is None:
        return f"{why}, and nothing is recorded to be measured instead: ask before it leaves."
    return f"{why}. Measure: {mark.override.measured.rstrip('.')}. By {mark.override.measured_by}."


def _divide(together: Together, why: str) -> str:
    """Write what a batch breaks only as it is made for several orders at once, and how to divide it."""
    where = f"{why} when made as one batch for {display.joined(together.numbers)}"
    ways = list(_ways(together.ways))
    if not ways:
        return f"{where}: make it for each order apart, or measure it."
    return f"{where}: {' or '.join(ways)}, or measure it."


def _ways(found: Dividing) -> Iterator[str]:
    if found.batches is not None:
        yield f"make it in {found.batches} batches, about {display.duration(found.minutes)} until the last is cold"
    if found.vessels is not None:
        yield f"divide it over {found.vessels} × {found.vessel}"


def _cooling(mark: CoolingMark) -> tuple[str, str]:
    readings = mark.record.read if mark.record else ()
    far = display.joined([reading_sentence(one) for one in readings])
    return "stop", f"{_to_measure(mark)}{_still_open(mark)} So far {far}"


def _last(mark: CoolingMark) -> str:
    readings = mark.record.read if mark.record else ()
    return reading_sentence(readings[-1]) if readings else ""


def _met(mark: CoolingMark) -> tuple[str, str]:
    return "plain", f"Measured: {_last(mark)}"


def _not_met(mark: CoolingMark) -> tuple[str, str]:
    return "stop", f"The cooling rule was not kept: {_last(mark)}"


def _after(mark: CoolingMark) -> str:
    """Write what follows the name of whoever recorded it."""
    if mark.record is not None and mark.state == "not_met":
        return _ACTIONS[mark.record.action]
    if mark.failed is not None:
        return f"The first cooling was not kept: {_DONE[mark.failed.action]}."
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
        records=tuple((row, _readings_words(row), _outcome_sentence(row)) for row in one.records),
    )


def begins_words(items: Iterable[Measurable]) -> str:
    """Write when cooling begins by the rules of what is measured."""
    starts = {one.limits.legs[0].from_c for one in items if one.limits.legs}
    warm = [display.temperature(start) for start in sorted(filter(None, starts), reverse=True)]
    return f"Cooling begins when it leaves the heat{f', or is at {display.joined(warm)}' if warm else ''}."


def _limits_words(one: Measurable) -> str:
    going_on = one.going_on
    limits = one.limits
    started_at = None if going_on is None else one.began(going_on.part)
    if going_on is None or started_at is None or not limits.legs:
        return f"Cold is {display.temperature(limits.limit_c)} or colder."
    each = [
        f"{display.temperature(limit_c)} by {display.clock(by)}"
        for limit_c, by in deadlines(limits, started_at, going_on.read)
    ]
    return f"Begun {display.clock(started_at)}: {display.joined(each)}."


def _readings_words(row: CoolingRecord) -> str:
    which = f"Vessel {row.part} of {row.parts}: " if row.part else ""
    return which + display.joined([reading_sentence(one) for one in row.read])


def _outcome_sentence(row: CoolingRecord) -> str:
    action = f". {row.get_action_display()}" if row.action else ""
    return f"{row.get_outcome_display()}{action}"


def shown_met_words(items: Iterable[Measurable]) -> list[str]:
    """Write for which desserts the readings show already that the rule was kept: no other reading is needed."""
    return [
        f"{one.name}{f', vessel {part}' if part else ''}: the readings show that the rule was kept. Choose “Kept” and"
        " record it; no other reading is needed."
        for one in items
        for part in range(one.parts + 1)
        if (row := one.going_on_in(part)) is not None and row.part == part and shows_met(one, part)
    ]
