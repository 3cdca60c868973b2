"""Sentences about what is measured while food cools, or is said to be, and why it cannot be recorded."""

from typing import Final

from django.utils.translation import gettext
from django.utils.translation import gettext_noop as marked

from catalog.records.presenters import Sentences, Writers
from catalog.web import display

COOLING_SENTENCES: Final[Sentences] = {
    # What is measured instead of a rule.
    "measure_missing": marked("Choose what is measured instead for {product}."),
    "measurer_missing": marked("Choose who measures {product}."),
    "hour_not_in_time": marked(
        "{product}: enter after how many hours it is read{limit_c:read_for}: {minutes:duration} at most."
    ),
    # What is measured while an order cools.
    "order_canceled": marked("{order} is canceled, so nothing is recorded for it."),
    # What lifts a mark or a block.
    "says_nothing": marked(
        "{field:noted}: “{entered}” does not say enough. Write at least two words, or one of eight letters."
    ),
    "names_nobody": marked("{field:noted}: “{entered}” names nobody. Enter the name of a person who is there."),
    "discarded_goes_out": marked(
        "{items:names}: recorded as discarded. Check the box that it does not go out, or record the measurement of "
        "what was "
        "made anew."
    ),
    "discarded_without_note": marked(
        "{items:names}: recorded as discarded. Check the box that it does not go out and enter in the note what is "
        "served instead, or record the measurement of what was made anew."
    ),
    "start_waits": marked(
        "{order} waits for the owner: by today’s steps it is not sure for {items:names} to get cold in time, and no "
        "measurement is planned for that. The owner records on the order’s page what is measured instead, and by whom."
    ),
    "start_never": marked(
        "{order} cannot be started: {items:names} may never get cold where it chills, and planning a measurement does "
        "not help. The owner sets colder air at its station or changes its steps; its page “How it cools”, linked on "
        "the order’s page, lists what helps. Then start production."
    ),
    "start_unjudged": marked(
        "{items:names}: how it cools cannot be judged while the catalog has an error. The owner corrects the catalog, "
        "or enters why it is made all the same, and how it is measured."
    ),
    "start_late": marked(
        "{items:names}: as one batch for {orders:names} it is not cold before the order leaves. Make it separately for "
        "each order, or divide it at its recipe’s step. Otherwise the owner enters why it is made all the same, and "
        "how it is measured."
    ),
    "start_too_early": marked(
        "{order} cannot be started yet: what is made today would be older than it keeps when the order leaves. By its "
        "plan work begins on {planned:moment}; start from {first:day} on. Where something keeps longer, enter the "
        "longest hold at its step."
    ),
    "start_early": marked(
        "Made today, {items:counted} would be older than it keeps when the order leaves. Check the box that each is "
        "made on its day."
    ),
    "waits_for_owner": marked(
        "{items:names}: nothing shows yet that it was cold in time. Record the measurement. Without one only the owner "
        "can hand it over, with the reason."
    ),
    "too_old_waits": marked(
        "{items:names}: measured as cold in time, and older than the {keeps:duration} it keeps. Only the owner can hand"
        " it over, with the reason; otherwise make it again and record its measurement."
    ),
    "too_old": marked(
        "{items:names}: measured as cold in time, and older than the {keeps:duration} it keeps. Enter in the note why"
        " it goes out, or make it again and record its measurement."
    ),
    # Readings.
    "reading_missing": marked("Enter at least one reading: the core temperature, and when it was read."),
    "reading_in_future": marked("{at:moment} is in the future. Correct the day or the time."),
    "reading_before_start": marked(
        "The reading at {at:moment} is before cooling began ({start:moment}). Correct one of them."
    ),
    "not_made_yet": marked(
        "{at:moment} is too early: for {order}, {item} is made from {first:moment} on, by its plan and how long it "
        "keeps. Correct the day or the time. {started:early}"
    ),
    "names_nothing_served": marked(
        "{items:names}: “{entered}” does not say what is served instead. Name it in the note, or write that nothing is "
        "and the customer knows."
    ),
    "not_named": marked(
        "{items:names}: the note does not name it. Write for each what was measured, or what is served instead."
    ),
    "earlier_batch": marked(
        "{item} is made for {order} on {planned:moment} by its plan, and production has not started. What began at"
        " {at:moment} is an earlier batch. Check “This order is made from this batch” where it is; otherwise record it"
        " for the order it was made for."
    ),
    "before_production": marked(
        "{item} began to cool at {at:moment}, and production of {order} started at {started:moment}: it is an earlier"
        " batch. Check “This order is made from this batch” where it is; otherwise record it for the order it was made"
        " for."
    ),
    "before_planned_day": marked(
        "{item} is made for {order} on {planned:moment} by its plan. What began at {at:moment} is an earlier batch."
        " Check “This order is made from this batch” where it is; otherwise record it for the order it was made for."
    ),
    "dismissal_unfounded": marked("Enter why nothing of it was made by those steps, or that it was discarded."),
    "breach_stands": marked(
        "Today’s steps break the rule too, or a measurement was recorded. The mark on {order} stands until a record "
        "says that the rule was kept."
    ),
    "part_missing": marked(
        "{item} stands in {parts} vessels. Choose which of them was measured: one reading does not stand for the "
        "others."
    ),
    "no_such_part": marked(
        "{item} has no number {part}: it is one vessel. Choose number 1: its reading does not stand for another one."
    ),
    "warmest_missing": marked(
        "{item} is {pieces} pieces in one load, and one piece does not stand for the others. Measure the warmest, "
        "such as the largest or the one in the middle, and choose “All of them; the readings are those of the warmest”."
    ),
    "count_unknown": marked(
        "Nothing states in how many vessels or loads {item} is, so no number tells which was measured. Measure each, "
        "enter the readings of the warmest, and choose “All of them; the readings are those of the warmest”."
    ),
    "batch_missing": marked(
        "{item} may be made as one batch for {orders:names}. Choose whether that batch was measured, or one for this "
        "order alone: a reading is of the batch it was taken in."
    ),
    "broken_together": marked(
        "{items:names}: not cold in time as one batch for {orders:names}. Divide it at its recipe’s step, or let the "
        "owner enter why it is made all the same, and how it is measured."
    ),
    "broken_with_this": marked(
        "{items:names}: not cold in time as one batch with {orders:names}. Divide it at its recipe’s "
        "step, choose another day, or let the owner record what is measured instead, and by whom."
    ),
    "load_missing": marked(
        "{item} is made in {parts} loads. Choose which of them was measured: one reading does not stand for the others."
    ),
    "loads_apart": marked(
        "The {parts} loads of {item} leave the heat {every} minutes apart: one reading does not stand for all. Choose "
        "the number of the load that was measured, and record each for itself."
    ),
    "loads_apart_planned": marked(
        "The {parts} loads of {item} leave the heat {every} minutes apart: number 1 at {first:moment}, number {parts} "
        "at {last:moment} as planned. One reading does not stand for all: choose the number of the load that was "
        "measured."
    ),
    "began_before_done": marked(
        "{item} was recorded as {action:done} at {over:moment}, so a new cooling cannot have begun at {at:moment}. "
        "Enter when what was made anew or reheated began to cool{parts:another}."
    ),
    "reheating_takes": marked(
        "{item} was still read at {over:moment} before it was reheated, and reheating takes at least {minutes} "
        "minutes: a new cooling cannot have begun at {at:moment}. Enter when it began to cool again."
    ),
    "reading_contradicts": marked(
        "For {at:moment} {before:reading} was recorded of {item}, and now {celsius:reading}. Enter the time at which "
        "this reading was taken{parts:which}."
    ),
    "reading_of_other": marked(
        "The reading of {at:moment} was recorded of another cooling of {item}. “{step}” is measured by readings of its "
        "own: enter these."
    ),
    "start_missing": marked("Enter when cooling began: the rule counts from then ({rule:official})."),
    "reading_unlikely": marked(
        "{celsius:reading} is frozen. Check the reading and its unit, or record the rule as not met and enter "
        "what happened."
    ),
    "reading_too_soon": marked(
        "The reading at {at:moment} is less than {minutes} minutes after cooling began, sooner than it can be cold: it "
        "does not show that it got cold in time. Correct the start, the time or the unit, or add a later reading."
    ),
    "warmer_again": marked(
        "{celsius:reading} at {at:moment} is warmer than the reading before. Check the readings, or record that the "
        "rule was not met."
    ),
    "cooling_open": marked(
        "{items:names}: nothing shows yet that it was cold in time. Record the measurement, or enter its core "
        "temperature at the hand-over, and in the note why it goes out."
    ),
    "too_warm_to_go": marked(
        "{items:names}: at {core:reading} it is warmer than {limit_c:temperature}, so it does not go out. Record the "
        "measurement and what was done with it."
    ),
    "was_not_kept": marked(
        "{items:names}: the cooling rule was recorded as not met. Record the new measurement, or enter in the note "
        "what is served instead."
    ),
    "source_unshown": marked(
        "{what} counts as safe at room temperature, and its source “{source}” does not show it. {lacks:source_lacks}"
        " Or clear the check mark on the recipe and keep it cold."
    ),
    "holding_contradicts": marked(
        "{what}: your text “{own}” says to keep it out of the cold, and the quote says “{beside}” Change your text; or,"
        " where it is safe at room temperature, enter on its recipes what shows that, with its source."
    ),
    "never_hot_unseen": marked(
        "{recipe} counts as never hot, by your word or because nothing says otherwise. Read its steps, and check the"
        " box that nothing heats it, or enter at the step how warm it leaves."
    ),
    "steps_unanswered": marked(
        "Nobody has said whether “{step}” of {recipe} is cold, as its steps are now. Enter there how warm this "
        "step leaves, or send a revision or a change of the order: its review asks for it."
    ),
    "still_too_warm": marked(
        "The last reading of {item} is {celsius:reading}, warmer than {limit_c:temperature}. Add a later reading, or "
        "record that it is still cooling or that the rule was not met."
    ),
    "not_shown_in_time": marked(
        "No reading shows {item} at {limit_c:temperature} or colder by {by:moment}. Add that reading, or record that "
        "the rule was not met."
    ),
    "broken_already": marked(
        "{item} is too warm: {celsius:reading} at {at:moment}, and the rule asks for {limit_c:temperature} or colder "
        "by {by:moment}. Choose “Not met” and what was done with it."
    ),
    "action_missing": marked("Choose what was done with {item}: reheated and cooled once more, or discarded."),
    "reheated_before": marked("{item} was already reheated and cooled once more. Discard it."),
}

#: Field that lifts a mark or a block -> what it is called.
_NOTED: Final[dict[str, str]] = {
    "delivery_note": marked("Note about the delivery or pickup"),
    "dismissal": marked("Why nothing was made by those steps"),
    "measured_by": marked("Measured by"),
}
#: What was done with what did not meet its rule -> its words within a sentence.
_DONE: Final[dict[str, str]] = {"discarded": marked("discarded"), "reheated": marked("not met and reheated")}
#: What to do about something that was made before its time: in an order not started, and in one that is in production.
_MADE_EARLY: Final[dict[str, str]] = {
    "": marked(
        "If it is made already, choose “Start production” on the order’s page first; what the owner has to answer "
        "before stands there."
    ),
    "started": marked(
        "If it was made for another order, record it there; if it was made for this one, it is too old: make it again, "
        "and ask the owner."
    ),
}


def _another(parts: int) -> str:
    return gettext(", or choose the number of another load or vessel") if parts > 1 else ""


def _which(parts: int) -> str:
    return gettext(", or choose the number of the load or vessel it is of") if parts > 1 else ""


def _read_for(limit_c: float | None) -> str:
    return "" if limit_c is None else gettext(" for %(limit)s") % {"limit": display.temperature(limit_c)}


COOLING_WRITERS: Final[Writers] = {
    "read_for": _read_for,
    "another": _another,
    "which": _which,
    "early": lambda started: gettext(_MADE_EARLY[started]),
    "noted": lambda field: gettext(_NOTED[field]),
    "done": lambda action: gettext(_DONE[action]),
}
