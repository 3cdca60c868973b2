"""Sentences about a window for the hand-over: whether it works, why not, and what works instead.

They are with the refusals because sending a quote is refused with them; ``orders.quotes.draft`` finds the reasons.
"""

from collections.abc import Iterable, Sequence
from datetime import datetime
from typing import Final

from catalog.records.presenters import Sentences, Writers
from catalog.web import display

WINDOW_SENTENCES: Final[Sentences] = {
    "time_not_known": (
        "Whether this window can be kept is not known: the hours would fit, but nobody can say how long "
        "{batches:names} takes to get cold. Divide the batch, or cool it another way."
    ),
    "window_kept": "The window can be kept.",
    "window_kept_from": "The window can be kept. Work begins {begins:moment} at the latest, other orders aside.",
    # The same where a cooling rule is broken.
    "hours_fit": "The hours and stations allow this window. The cooling rule is not kept.",
    "hours_fit_from": (
        "The hours and stations allow this window: work begins {begins:moment} at the latest, other orders aside. The "
        "cooling rule is not kept."
    ),
    # The same where the rule states no times for cooling.
    "hours_alone": "The hours and stations allow this window.",
    "hours_alone_from": (
        "The hours and stations allow this window: work begins {begins:moment} at the latest, other orders aside."
    ),
    # Ready too late, or made too early.
    "never_ready": "{product} cannot be ready within three weeks: a step of it does not fit your working hours.",
    "not_after": "Not after {moment:moment}: {product} keeps no longer.",
    "not_between": "Not then: {product} made earlier keeps no longer, and is ready again from {moment:moment}.",
    "not_before": "Not before {moment:moment}: {product} is not ready earlier.",
    "not_before_step": "Not before {moment:moment}: {product} needs “{step}”, {span:window}.",
    # Added if cooling determines the length of the step; a stated time needs no explanation.
    "not_before_cold": (
        "Not before {moment:moment}: {product} needs “{step}”, {span:window}: until its middle is at "
        "{limit_c:temperature} at the slow end of the estimate."
    ),
    "the_table": "The table",
    "window_works": "{window:window} works.",
    "no_window_works": "No window in the next three weeks works.",
    # Never cold where it chills.
    "gets_never_cold": (
        "{product} never gets to {limit_c:temperature} in {station:the} at {air_c:temperature}, at the slow end of the "
        "estimate."
    ),
    "takes_colder_air": "It takes air colder than {warmest_c:temperature}: no window works until then.",
    "takes_faster_cooling": "It takes colder air, less depth or a fan: no window works until then.",
    # Out of the cold for too long.
    "out_longer_than_allowed": (
        "{doing} {away:duration}; {products:names} may be out of the cold for {limit} ({source})."
    ),
    "at_most": "{minutes:duration} at most",
    "less_than": "less than {minutes:duration}",
    "limit_of_rule": "{source}",
    "limit_of_defence": "a defence the kitchen has to prove: {source}",
    "limit_of_house": "your own limit: {source}",
    "way_and_set_up": "On the way and setting up takes",
    "way": "The way takes",
    "set_up": "Setting up takes",
    "what_helps": "No other window helps. What does: {ways:either}.",
    "shorter_way": "a way of at most {most:duration}",
    "shorter_set_up": "a set-up of at most {most:duration}",
    "refrigerated_vehicle": "a refrigerated vehicle, when your profile says so",
    "collection": "collection by the customer, who is told the limit",
}


def names_words(names: Iterable[str]) -> str:
    """Write names as in a sentence; with semicolons if a name contains a comma."""
    each = list(names)
    return "; ".join(each) if len(each) > 1 and any("," in name for name in each) else display.joined(each)


def _window_words(window: Sequence[datetime]) -> str:
    start, end = window
    return display.window(start, end)


def _with_article(station: str) -> str:
    return station if station.startswith("the ") else f"the {station}"


def _either(ways: Sequence[str]) -> str:
    return "; or ".join(part for part in ("; ".join(ways[:-1]), ways[-1]) if part)


WINDOW_WRITERS: Final[Writers] = {
    "duration": display.duration,
    "temperature": display.temperature,
    "window": _window_words,
    "names": names_words,
    "the": _with_article,
    "either": _either,
}
