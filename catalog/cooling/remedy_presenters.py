"""Remedies in words: each change, the rule's verdict with it, and when the food is cold then."""

from dataclasses import dataclass
from typing import Final

from catalog.cooling.remedies import Remedies, Remedy
from catalog.cooling.words import NEVER, length, length_at_most, likely_time, slow_time
from catalog.records import presenters
from catalog.records.presenters import Sentences, Writers
from catalog.records.reasons import Reason
from catalog.web import display
from costing.chilling import Verdict

#: Verdict with a change -> its words.
_OUTCOMES: Final[dict[Verdict, str]] = {
    "kept": "kept, also at the slow end",
    "likely": "kept as likely, not at the slow end",
    "not kept": "not kept",
    "untimed": "states no times",
    "freezes": "its rim freezes first",
}
#: Code of a change or a remark -> its words.
SENTENCES: Final[Sentences] = {
    # Changes.
    "straight_into_the_cold": "Straight into the cold, no time in the room",
    "fan": "A fan in its refrigerator",
    "fan_and_straight": "A fan in its refrigerator, and straight into it",
    "blast": "A blast chiller at {air_c:degrees}",
    "blast_and_straight": "A blast chiller at {air_c:degrees}, and straight into it",
    "lower": "At most {most_mm:length_at_most} high instead of {now_mm:length}",
    "smaller": "At most {most_mm:length_at_most} across instead of {now_mm:length}",
    "narrower": "At most {most_mm:length_at_most} wide instead of {now_mm:length}",
    "in_mold": "In {mold}, filled to {height_mm:length}",
    "divided": "Divided over {count} × {vessel}, {height_mm:length} deep",
    "divided_more": "Divided over {count} × {vessel}, {height_mm:length} deep; you own {owned}",
    "in_vessel": "In {vessel}, {height_mm:length} deep",
    "in_vessels": "In {count} × {vessel}, {height_mm:length} deep",
    "bath_first": "In an ice bath to {to_c:degrees} first, about {minutes:duration}, then straight into the cold",
    "bath_first_stirred": (
        "In an ice bath to {to_c:degrees} first, stirred every {every:duration}, about {minutes:duration}, then"
        " straight into the cold"
    ),
    "bath_until_cold": "In an ice bath until it is cold, about {minutes:duration}",
    "bath_until_cold_stirred": (
        "In an ice bath until it is cold, stirred every {every:duration}, about {minutes:duration}"
    ),
    # Remarks.
    "other_vessels_would_not": "Other vessels you own that would not keep it: {count}.",
    "no_height_keeps": "No height keeps the rule, however low, with all else as it is.",
    "none_smaller_keeps": "At this height nothing keeps the rule, however little it measures across.",
    "none_narrower_keeps": "At this height nothing keeps the rule, however little it measures wide.",
    "the_other_mold_would_not": "The other mould you own would not keep it, filled as high as now or to the rim.",
    "no_mold_would": "None of the {count} other moulds you own would keep it, filled as high as now or to the rim.",
    "one_mold_would_not": "1 other mould you own would not keep it.",
    "some_molds_would_not": "{count} other moulds you own would not keep it.",
}
_WRITERS: Final[Writers] = {
    "degrees": lambda celsius: display.temperature(celsius, 1),
    "duration": display.duration,
    "length": length,
    "length_at_most": length_at_most,
}


@dataclass(frozen=True, slots=True)
class RemedyShown:
    """A change that was tried, in words: the change, the rule's verdict with it, and when the food is cold."""

    change: str
    outcome: str
    helps: bool
    likely: str
    slow: str


@dataclass(frozen=True, slots=True)
class RemediesShown:
    """All changes tried, remarks, and whether none helps."""

    tried: tuple[RemedyShown, ...]
    remarks: tuple[str, ...]
    hopeless: bool


def remedies_shown(remedies: Remedies) -> RemediesShown:
    """Write the changes that were tried."""
    return RemediesShown(
        tuple(map(_remedy_shown, remedies.tried)), tuple(map(_sentence, remedies.remarks)), remedies.hopeless
    )


def _remedy_shown(remedy: Remedy) -> RemedyShown:
    found = remedy.trial
    times = (NEVER, NEVER) if found.freezes else (likely_time(found.cold_likely), slow_time(found.cold_slow))
    return RemedyShown(_sentence(remedy.change), _OUTCOMES[remedy.verdict], remedy.helps, *times)


def _sentence(reason: Reason) -> str:
    return presenters.reason_sentence(reason, SENTENCES, _WRITERS)
