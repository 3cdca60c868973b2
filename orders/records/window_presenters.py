"""Sentences about a window for the hand-over: whether it works, why not, and what works instead.

They are with the refusals because sending a quote is refused with them; ``orders.quotes.draft`` finds the reasons.
"""

from collections.abc import Sequence
from datetime import datetime
from typing import Final

from django.utils.translation import gettext
from django.utils.translation import gettext_noop as marked

from catalog.records.presenters import Sentences, Writers
from catalog.web import display

WINDOW_SENTENCES: Final[Sentences] = {
    "time_not_known": marked(
        "It is not known whether this time works: the hours fit, but the cooling time of {batches:names} "
        "cannot be estimated. Divide the batch, or cool it another way."
    ),
    "window_kept": marked("This time works."),
    "window_kept_from": marked(
        "This time works. Work starts {begins:moment} at the latest, not counting other orders."
    ),
    # The same where something breaks its cooling rule, or stands out of the cold too long, whatever the rule states.
    "hours_fit": marked("The hours and stations allow this time. Cooling is not settled: {unsettled:names}."),
    "hours_fit_from": marked(
        "The hours and stations allow this time: work starts {begins:moment} at the latest, not counting other orders. "
        "Cooling is not settled: {unsettled:names}."
    ),
    # The same where the rule states no times for cooling.
    "hours_alone": marked("The hours and stations allow this time."),
    "hours_alone_from": marked(
        "The hours and stations allow this time: work starts {begins:moment} at the latest, not counting other orders."
    ),
    # Ready too late, or made too early.
    "never_ready": marked(
        "{product} cannot be ready within three weeks: one of its steps does not fit your working hours."
    ),
    "not_after": marked("Not after {moment:moment}: {product} does not keep longer."),
    "not_between": marked(
        "Not at this time: {product} made earlier no longer keeps, and the next is ready from {moment:moment}."
    ),
    "not_before": marked("Not before {moment:moment}: {product} is not ready before then."),
    "not_before_step": marked("Not before {moment:moment}: {product} needs “{step}”, {span:window}."),
    # Added if cooling determines the length of the step; a stated time needs no explanation.
    "not_before_cold": marked(
        "Not before {moment:moment}: {product} needs “{step}”, {span:window}: until its core is at "
        "{limit_c:temperature} at the slowest."
    ),
    # Ready or not, nothing is handed over then.
    "closed_day": marked("The kitchen is closed on {day:day}."),
    "closed_for": marked("The kitchen is closed on {day:day}: {why}."),
    "no_hours_that_day": marked("There are no pickup and delivery hours on {day:day}."),
    "nobody_there": marked("Nobody works on {day:day}, so nothing can be picked up."),
    "outside_pickup_hours": marked("Pickup on {day:day} is possible from {hours:spans}."),
    "leaves_outside_hours": marked(
        "It would leave at {leaves:clock}. On {day:day} deliveries leave from {hours:spans}."
    ),
    # No place in the plan when it is approved.
    "plan_moved": marked(
        "Other work was put in the kitchen's plan at this moment. {what} itself did not change: try again."
    ),
    "content_moved": marked(
        "Since you opened this page, this changed: {parts:names}. Look at it below and send again; what you checked "
        "stays checked where it still applies."
    ),
    "moved_dates": marked("dates of the terms, which follow from today and from when work starts"),
    "moved_products": marked("products, their prices or what is known of them in the catalog"),
    "moved_charges": marked("charges, taxes or the total"),
    "moved_allergens": marked("allergies and diets, or the allergens in the catalog"),
    "moved_kitchen": marked("the kitchen profile"),
    "moved_customer": marked("the customer or the event"),
    "moved_terms": marked("deposit, payment or cancellation terms, or the note"),
    "moved_rest": marked("the text of the quote"),
    "plan_changed": marked("The plan was changed in the meantime. Try again."),
    "no_slot": marked("There is no place for it in the plan beside what is promised."),
    "place_unseen": marked(
        "No plan was found in which all of {what} is ready in time. Check the box that you send it all the same, or "
        "choose another time."
    ),
    "slot_taken": marked(
        "{what} can no longer be made for its time. Add what is short on those days, or send a revision with another "
        "time."
    ),
    "slot_undecided": marked(
        "No plan was found yet in which all of {what} is ready in time. The search goes on: open this page again in a "
        "minute. Or add what is short on those days, or send a revision with another time."
    ),
    "time_taken": marked(
        "We can no longer make it for {window:window}: the time we need for it is taken. Nothing was approved, and"
        " this quote stays open. We know that you want it: call or write to us, and we will find a time. {works:works}"
    ),
    "time_unsure": marked(
        "We have to check whether we can still make it for {window:window}. Nothing was approved yet, and this quote"
        " stays open. We know that you want it, and will answer you. {works:works}"
    ),
    # Several times to choose from.
    "offered_taken": marked(
        "We can no longer make it for {window:window}: the time we need for it is taken. Nothing was approved, and"
        " this quote stays open. Choose another of its times, or call or write to us, and we will find one."
    ),
    "offered_unsure": marked(
        "We have to check whether we can still make it for {window:window}. Nothing was approved yet, and this quote"
        " stays open. We know that you want this time, and will answer you. You can also choose another of its times."
    ),
    "no_such_time": marked("Choose one of the times that this quote offers. Nothing was approved."),
    "windows_changed": marked(
        "A time you checked no longer works. Look at the list again and check the times to offer."
    ),
    "too_many_offered": marked("Offer at most {most} other times."),
    # More of a day than the owner wants.
    "over_events": marked("{day:day} would have {events} events; your limit is {most_events}. {confirmed}"),
    "over_guests": marked("{day:day} would have {guests} guests; your limit is {most_guests}. {confirmed}"),
    "over_both": marked(
        "{day:day} would have {events} events and {guests} guests; your limits are {most_events} and {most_guests}. "
        "{confirmed}"
    ),
    "day_has": marked("Confirmed for that day: {orders:names}."),
    "day_has_none": marked("Nothing else is confirmed for that day."),
    "the_table": marked("The order"),
    "window_works": marked("{window:window} works."),
    "no_window_works": marked("No time in the next three weeks works."),
    # Never cold where it chills.
    "gets_never_cold": marked(
        "{product} may never get to {limit_c:temperature} in {station:the} at {air_c:temperature}: if it cools "
        "slowly it does not."
    ),
    "takes_colder_air": marked("It needs air colder than {warmest_c:temperature}: no time works until then."),
    "takes_faster_cooling": marked("It needs colder air, less depth or a fan: no time works until then."),
    # Out of the cold for too long.
    "out_longer_than_allowed": marked(
        "{doing} {away:duration}; {products:names} may be out of the cold for {limit} ({source})."
    ),
    "at_most": marked("{minutes:duration} at most"),
    "less_than": marked("less than {minutes:duration}"),
    "at_most_left": marked("{minutes:duration} at most after {used:duration} in the kitchen"),
    "less_than_left": marked("less than {minutes:duration} after {used:duration} in the kitchen"),
    "limit_of_rule": marked("{source:official}"),
    "limit_of_defence": marked("a defense the kitchen has to prove: {source:official}"),
    "limit_of_house": marked("your own limit: {source}"),
    "way_and_set_up": marked("Travel and setup take"),
    "way": marked("Travel takes"),
    "set_up": marked("Setup takes"),
    "what_helps": marked("Another time does not help. What helps: {ways:either}."),
    "shorter_way": marked("travel of at most {most:duration}"),
    "shorter_set_up": marked("setup of at most {most:duration}"),
    "refrigerated_vehicle": marked("a refrigerated vehicle, if the kitchen profile has one"),
    "collection": marked("pickup by the customer, who is told the limit"),
}


def _window_words(window: Sequence[datetime]) -> str:
    start, end = window
    return display.window(start, end)


def _works_words(windows: Sequence[Sequence[datetime]]) -> str:
    """Write times that work instead; nothing where none is known."""
    if not windows:
        return ""
    words = gettext("This time works: %(windows)s.") if len(windows) == 1 else gettext("These times work: %(windows)s.")
    return words % {"windows": _either([_window_words(one) for one in windows])}


def _spans_words(spans: Sequence[Sequence[datetime]]) -> str:
    """Write the hours of a day: 7:00 AM to noon and 1:00 PM to 5:00 PM."""
    each = (gettext("%(start)s to %(end)s") % {"start": display.clock(a), "end": display.clock(b)} for a, b in spans)
    return display.joined(each)


def _with_article(station: str) -> str:
    return station if station.startswith("the ") else gettext("the %(station)s") % {"station": station}


def _either(ways: Sequence[str]) -> str:
    if len(ways) < 2:
        return "".join(ways)
    return gettext("%(ways)s; or %(last)s") % {"ways": "; ".join(ways[:-1]), "last": ways[-1]}


WINDOW_WRITERS: Final[Writers] = {
    "duration": display.duration,
    "temperature": display.temperature,
    "window": _window_words,
    "works": _works_words,
    "spans": _spans_words,
    "clock": display.clock,
    "names": display.joined,
    "the": _with_article,
    "either": _either,
}
