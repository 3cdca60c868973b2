"""What has to be measured of an order, and what was, in words."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Final

from django.utils.translation import gettext, ngettext
from django.utils.translation import gettext_noop as marked

from catalog.cooling.missing_presenters import note_sentence
from catalog.web import display
from orders.cooling_log.models import CoolingRecord
from orders.cooling_log.open_names_content import each_open
from orders.cooling_log.reading_presenters import of_step, reading_sentence
from orders.cooling_log.remedies_left_presenters import TOO_LATE, ways_left
from orders.cooling_log.selectors import CoolingMark, Marks
from orders.cooling_log.together import Together
from orders.orders.models import Order
from orders.quotes.cooling.measuring_content import is_chosen
from orders.quotes.cooling.selectors import Item
from orders.quotes.cooling.shared_presenters import void_sentence
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
    unanswered: bool = False


def outcome_words(outcome: str) -> str:
    """Write the outcome of a record."""
    return str(CoolingRecord.Outcome(outcome).label).lower()


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
        unanswered=mark.unanswered,
    )


def _recorded_by(mark: CoolingMark) -> str:
    if mark.missed is not None and mark.state == "missed":
        return mark.missed.record.recorded_by
    if mark.record is None and mark.given is not None:
        return ""
    return mark.record.recorded_by if mark.record else ""


def _brief(mark: CoolingMark) -> str:
    if mark.state == "not_met" and mark.gone:
        return gettext("%(which)s: the cooling rule was not met") % {"which": gone_words(mark)}
    if mark.state == "not_met":
        return gettext("The cooling rule was not met")
    if mark.state == "missed":
        return gettext("A cooling limit was missed")
    if mark.state == "met":
        older = gettext("Older than the %(keeps)s it keeps") % {"keeps": display.duration(mark.aged_min)}
        return met_words(mark) if mark.aged_min is None else older
    if mark.outdated and mark.state == "owed":
        return gettext("The steps changed since it was measured")
    why = gettext("Still to be measured") if _is_measured_only(mark) else _why(mark)
    return _sentences(f"{why}.", each_open(mark)).rstrip(".") if mark.open_coolings else why


def met_words(mark: CoolingMark) -> str:
    """Write what was measured last of something that kept its rule: Measured: 40.5 °F, met."""
    readings = mark.record.read if mark.record else ()
    reading = reading_words(readings[-1].celsius) if readings else ""
    return gettext("Measured: %(reading)s, met") % {"reading": of_step(mark.record, reading)}


def _owed(mark: CoolingMark) -> tuple[str, str]:
    return "stop", _sentences(_to_measure(mark), _still_open(mark), each_open(mark))


def left_out_words(mark: CoolingMark) -> str:
    """Write for a tick that what was discarded does not go out, or only which loads or vessels of it."""
    if not mark.gone:
        return gettext("%(name)s does not go out") % {"name": mark.name}
    return gettext("%(name)s: %(which)s does not go out") % {"name": mark.name, "which": gone_words(mark)}


def _sentences(*words: str) -> str:
    return " ".join(filter(None, words))


def _still_open(mark: CoolingMark) -> str:
    """Write which vessels of a batch, or loads of a product, are still to be measured, where others were."""
    numbers = [str(number) for number in mark.open_parts]
    if mark.gone:
        return _gone(mark)
    if not numbers:
        return ""
    words = {"parts": mark.parts, "numbers": display.joined(numbers)}
    text = ngettext(
        "Number %(numbers)s of %(parts)s is still to be measured.",
        "Numbers %(numbers)s of %(parts)s are still to be measured.",
        len(numbers),
    )
    return text % words


def _gone(mark: CoolingMark) -> str:
    """Write which loads or vessels were discarded, and which of the others are still to be measured."""
    gone = gone_words(mark)
    still = [str(number) for number in mark.open_parts]
    if not still:
        return gettext("%(which)s: discarded.") % {"which": gone}
    text = ngettext(
        "%(which)s: discarded. Number %(numbers)s is still to be measured.",
        "%(which)s: discarded. Numbers %(numbers)s are still to be measured.",
        len(still),
    )
    return text % {"which": gone, "numbers": display.joined(still)}


def gone_words(mark: CoolingMark) -> str:
    """Write which loads of a product, or vessels of a batch, were discarded: Load 2 of 3."""
    numbers = display.joined([str(number) for number in mark.gone])
    if mark.item.kind == "product":
        text = ngettext("Load %(numbers)s of %(parts)s", "Loads %(numbers)s of %(parts)s", len(mark.gone))
    else:
        text = ngettext("Vessel %(numbers)s of %(parts)s", "Vessels %(numbers)s of %(parts)s", len(mark.gone))
    return text % {"numbers": numbers, "parts": mark.parts}


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
    **dict.fromkeys(
        ("time_out_used", "time_out_used_limit", "time_out_used_house"),
        marked("Its own steps use up its time out of the cold"),
    ),
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


def _is_measured_only(mark: CoolingMark) -> bool:
    """Return whether nothing is the matter with it but that what was begun to be measured is not all measured."""
    return mark.judged and not (mark.broken or mark.earlier or mark.override or mark.never)


def _to_measure(mark: CoolingMark) -> str:
    if _is_measured_only(mark):
        return ""
    why = _why(mark)
    if mark.alone and mark.together is not None:
        return _sentences(_alone(mark, why), _larger(mark, mark.together))
    if mark.together is not None and mark.given is not None:
        words = {"why": why, "orders": display.joined(mark.together.numbers), "reason": mark.given.reason.rstrip(".")}
        return (
            gettext("%(why)s when made as one batch for %(orders)s. Made so by the owner’s word: %(reason)s.") % words
        )
    if mark.together is not None:
        void = "" if mark.void is None else void_sentence(mark.void)
        return _sentences(_divide(mark.together, why), void)
    return _alone(mark, why)


def _alone(mark: CoolingMark, why: str) -> str:
    """Write what is measured of something that breaks its rule in the amount of its own order."""
    if mark.outdated and mark.state == "owed":
        return _outdated(mark, why)
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
    words = {"why": why, "measured": measured, "by": by}
    if not is_chosen(mark.override.measured):
        return gettext("%(why)s. Measure it. The owner’s words: “%(measured)s”, by %(by)s.") % words
    return gettext("%(why)s. Measure: %(measured)s. By %(by)s.") % words


def _outdated(mark: CoolingMark, why: str) -> str:
    """Write that something was measured by other steps than today's, by which it breaks its rule."""
    words = {"why": why, "reading": _last(mark)}
    text = gettext("%(why)s. The steps changed since it was measured (%(reading)s): measure it again by today’s steps.")
    if not mark.unanswered:
        return text % words
    return _sentences(text % words, gettext("No measurement is planned for today’s steps: ask the owner."))


def _divide(together: Together, why: str) -> str:
    """Write what a batch breaks only as it is made for several orders at once, and how to divide it."""
    words = {"why": why, "orders": display.joined(together.numbers)}
    ways = ways_left(together)
    if not ways:
        text = gettext("%(why)s when made as one batch for %(orders)s. %(late)s")
        return text % (words | {"late": gettext(TOO_LATE)})
    text = gettext("%(why)s when made as one batch for %(orders)s: %(ways)s, or measure it.")
    return text % (words | {"ways": display.either(ways)})


def _larger(mark: CoolingMark, together: Together) -> str:
    """Write that a batch that breaks its rule alone is made larger with other orders, and what the owner answered."""
    words = {"orders": display.joined(together.numbers)}
    if mark.given is not None:
        words |= {"reason": mark.given.reason.rstrip(".")}
        text = gettext("As one batch for %(orders)s it has another size. Made so by the owner’s word: %(reason)s.")
        return text % words
    ways = ways_left(together)
    if not ways:
        text = gettext("As one batch for %(orders)s it has another size and is not cold in time. %(late)s")
        words["late"] = gettext(TOO_LATE)
        return _sentences(text % words, "" if mark.void is None else void_sentence(mark.void))
    words |= {"ways": display.either(ways)}
    text = gettext("As one batch for %(orders)s it has another size and is not cold in time: %(ways)s, or measure it.")
    return _sentences(text % words, "" if mark.void is None else void_sentence(mark.void))


def _cooling(mark: CoolingMark) -> tuple[str, str]:
    readings = mark.record.read if mark.record else ()
    far = display.joined([reading_sentence(one) for one in readings])
    so_far = gettext("So far %(readings)s") % {"readings": of_step(mark.record, far)}
    return "stop", _sentences(_to_measure(mark), _still_open(mark), each_open(mark), so_far)


def _missed(mark: CoolingMark) -> tuple[str, str]:
    if mark.missed is None:
        return _cooling(mark)
    limit, record = mark.missed.limit, mark.missed.record
    facts = {"limit": display.temperature(limit.limit_c), "by": display.moment(limit.due)}
    facts |= {"part": str(record.part), "parts": str(record.parts), "read": reading_sentence(limit.reading)}
    if record.part:
        words = gettext(
            "Stop: too warm. The rule asks for %(limit)s or colder by %(by)s. Vessel %(part)s of %(parts)s was at"
            " %(read)s, read"
        )
    else:
        words = gettext("Stop: too warm. The rule asks for %(limit)s or colder by %(by)s. It was at %(read)s, read")
    return "stop", words % facts


def _last(mark: CoolingMark) -> str:
    readings = mark.record.read if mark.record else ()
    return of_step(mark.record, reading_sentence(readings[-1])) if readings else ""


def _met(mark: CoolingMark) -> tuple[str, str]:
    if mark.aged_min is not None:
        words = {"reading": _last(mark), "keeps": display.duration(mark.aged_min)}
        return "stop", gettext("Older than the %(keeps)s it keeps: ask before it leaves. Measured: %(reading)s") % words
    return "plain", gettext("Measured: %(reading)s") % {"reading": _last(mark)}


def _not_met(mark: CoolingMark) -> tuple[str, str]:
    if mark.gone:
        words = {"which": gone_words(mark), "reading": _last(mark)}
        return "stop", gettext("%(which)s: the cooling rule was not met, %(reading)s") % words
    return "stop", gettext("The cooling rule was not met: %(reading)s") % {"reading": _last(mark)}


def _after(mark: CoolingMark) -> str:
    """Write what follows the name of whoever recorded it."""
    if mark.record is not None and mark.state == "not_met":
        words = _sentences(gettext(_ACTIONS[mark.record.action]), each_open(mark))
        if mark.to_remake and not mark.all_gone:
            return _sentences(words, gettext("The rest was cold in time."))
        return _sentences(words, _still_open(mark)) if mark.open_parts else words
    if mark.state == "missed":
        words = gettext("Do not use it. Record “Not met” and what was done with it.")
        return _sentences(words, each_open(mark))
    if mark.failed is not None:
        return gettext(_DONE[mark.failed.action])
    return ""


def in_dessert(mark: CoolingMark) -> str:
    """Write on a dessert's own row, which names it, what is the matter with a batch that goes into it."""
    words = {"batch": mark.name, "why": _brief(mark), "after": _after(mark)}
    if mark.state in ("not_met", "missed"):
        return gettext("%(batch)s in it: %(why)s. %(after)s") % words
    text = gettext("%(batch)s in it: %(why)s. Ask before it leaves.") % words
    return _sentences(text, _gone(mark) if mark.gone else "")


def batch_marks(orders: Iterable[Order], marks: Marks) -> list[MarkShown]:
    """Write the marks of batches, order by order; of one that is made for several orders at once, once for all."""
    shown: dict[tuple[Item, frozenset[int], int], MarkShown] = {}
    for order in orders:
        for mark in marks.get(order.pk, {}).values():
            if mark.item.kind == "recipe":
                of = frozenset([order.pk]) if mark.together is None else frozenset(mark.together.keys)
                # What is measured of an order's own amount is its own, also where others share the batch.
                own = order.pk if mark.alone else 0
                number = order.number if mark.together is None else display.joined(mark.together.numbers)
                shown.setdefault((mark.item, of, own), mark_shown(mark, number))
    return list(shown.values())


def marks_shown(orders: Iterable[Order], marks: Marks) -> dict[int, list[MarkShown]]:
    """Write the marks of orders, by order."""
    marked = (order for order in orders if order.pk in marks)
    return {order.pk: [mark_shown(mark, order.number) for mark in marks[order.pk].values()] for order in marked}
