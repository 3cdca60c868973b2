"""Remedies in words: each change, the rule's verdict with it, and when the food is cold then."""

from dataclasses import dataclass
from math import inf
from typing import Final

from django.utils.translation import gettext
from django.utils.translation import gettext_noop as marked

from catalog.cooling.aims import Aim
from catalog.cooling.batch_presenters import ice_words, mass_words
from catalog.cooling.remedies import Remedies, Remedy
from catalog.cooling.words import BEYOND, fast_time, length, length_at_most, likely_time, slow_end, slow_time
from catalog.records import presenters
from catalog.records.presenters import Sentences, Writers
from catalog.records.reasons import Reason
from catalog.web import display
from costing.chilling import NOT_MET, LegRange, Trial, Verdict

#: Verdict with a change -> its words.
_OUTCOMES: Final[dict[Verdict, str]] = {
    "kept": marked("met, even if it cools slowly"),
    "likely": marked("likely met, but not if it cools slowly"),
    NOT_MET: marked("not met"),
    "untimed": marked("the rule states no times"),
    "freezes": marked("the outside freezes first"),
}
#: Verdict with a change, held against a limit of the house -> its words.
_WITHIN: Final[dict[Verdict, str]] = {
    "kept": marked("within it, even if it cools slowly"),
    "likely": marked("likely within it, but not if it cools slowly"),
    NOT_MET: marked("longer than that"),
}
#: Code of a change or a remark -> its words.
SENTENCES: Final[Sentences] = {
    # Changes.
    "straight_into_the_cold": marked("Straight into the cold, no time in the room"),
    "fan": marked("A fan in its refrigerator"),
    "fan_and_straight": marked("A fan in its refrigerator, and straight into it"),
    "blast": marked("A blast chiller at {air_c:degrees}"),
    "blast_and_straight": marked("A blast chiller at {air_c:degrees}, and straight into it"),
    "lower": marked("At most {most_mm:length_at_most} high instead of {now_mm:length}"),
    "smaller": marked("At most {most_mm:length_at_most} across instead of {now_mm:length}"),
    "narrower": marked("At most {most_mm:length_at_most} wide instead of {now_mm:length}"),
    "in_mold": marked("In {mold}, filled to {height_mm:length}"),
    "lid_off": marked(
        "Take the lid off while it cools, where nothing can drip or fall into it; put it on once it is cold"
    ),
    "uncovered": marked("Uncovered while it cools, where nothing can drip or fall on it; cover it once it is cold"),
    "short_of": marked("not possible: needs {count} × {vessel}, and the kitchen has {owned}"),
    "batches": marked(
        "Made in {count} batches of {grams:mass}, each in {fill} × {vessel}, about {minutes:duration} until the last is"
        " cold at the slowest"
    ),
    "divided": marked("Divided over {count} × {vessel}, {height_mm:length} deep"),
    "in_vessel": marked("In {vessel}, {height_mm:length} deep"),
    "in_vessels": marked("In {count} × {vessel}, {height_mm:length} deep"),
    "bath_first": marked(
        "{count} × {vessel} in an ice bath to {to_c:degrees} first, about {minutes:duration} and {ice:ice}, then"
        " straight into the cold"
    ),
    "bath_first_stirred": marked(
        "{count} × {vessel} in an ice bath to {to_c:degrees} first, stirred every {every:duration}, about"
        " {minutes:duration} and {ice:ice}, then straight into the cold"
    ),
    "bath_until_cold": marked(
        "{count} × {vessel} in an ice bath until it is cold, about {minutes:duration} and {ice:ice}"
    ),
    "bath_until_cold_stirred": marked(
        "{count} × {vessel} in an ice bath until it is cold, stirred every {every:duration}, about {minutes:duration}"
        " and {ice:ice}"
    ),
    # Remarks.
    "other_vessels_would_not": marked("Other vessels you own that would not meet the rule: {count}."),
    "lid_stays": marked("Each of these keeps the lid on while it cools, unless it says to take it off."),
    "cover_stays": marked("Each of these leaves it covered while it cools, unless it says uncovered."),
    "no_height_keeps": marked("No height of {least_mm:length} or more meets the rule, with all else as it is."),
    "none_smaller_keeps": marked(
        "At this height nothing that measures {least_mm:length} or more across meets the rule."
    ),
    "none_narrower_keeps": marked(
        "At this height nothing that measures {least_mm:length} or more wide meets the rule."
    ),
    "the_other_mold_would_not": marked(
        "The other mold you own would not meet the rule, filled as high as now or to the rim."
    ),
    "no_mold_would": marked(
        "None of the {count} other molds you own would meet the rule, filled as high as now or to the rim."
    ),
    "one_mold_would_not": marked("1 other mold you own would not meet the rule."),
    "some_molds_would_not": marked("{count} other molds you own would not meet the rule."),
}
_WRITERS: Final[Writers] = {
    "degrees": lambda celsius: display.temperature(celsius, 1),
    "duration": display.duration,
    "ice": ice_words,
    "mass": mass_words,
    "length": length,
    "length_at_most": length_at_most,
}
#: Code of a change -> what is done, where it stands beside a refusal.
_DONE: Final[Sentences] = {
    "divided": marked("Divide it over {count} × {vessel}, {height_mm:length} deep."),
    "in_vessel": marked("Cool it in {vessel}, {height_mm:length} deep."),
    "in_vessels": marked("Divide it over {count} × {vessel}, {height_mm:length} deep."),
}


#: What is left where no change that was tried meets the rule.
INSTEAD: Final = marked(
    "What is left to try: a smaller batch, two of these changes together (shallower and in an ice bath, or in a blast"
    " chiller), or a cooling procedure of your own, measured with a probe and written down. Ask your local"
    " health department about it."
)


@dataclass(frozen=True, slots=True)
class RemedyShown:
    """A change that was tried, in words: the change, the rule's verdict with it, and when the food is cold.

    ``by_rule`` is the limit of the rule that decides, as its own clock counts it. Without a limit to hold it against
    there is no ``outcome``, unless it cannot be done, and nothing ``helps``.
    """

    change: str
    outcome: str
    helps: bool
    likely: str
    slow: str
    by_rule: str = ""
    fast: str = ""


@dataclass(frozen=True, slots=True)
class RemediesShown:
    """All changes tried, remarks, and whether none helps, or none at the slow end too; what else may help then.

    ``aim`` says what they are held against where the rule states no times, ``is_limit`` that it is the owner's limit.
    """

    tried: tuple[RemedyShown, ...]
    remarks: tuple[str, ...]
    hopeless: bool
    unsure: bool
    instead: str
    aim: str = ""
    is_limit: bool = False


def remedies_shown(remedies: Remedies) -> RemediesShown:
    """Write the changes that were tried."""
    return RemediesShown(
        tuple(_remedy_shown(one, remedies.aim) for one in remedies.tried),
        tuple(map(_sentence, remedies.remarks)),
        remedies.hopeless,
        remedies.unsure,
        gettext(INSTEAD),
        "" if remedies.aim is None else _aim_words(remedies.aim),
        remedies.aim is not None and remedies.aim.is_limit,
    )


def _aim_words(aim: Aim) -> str:
    if aim.is_limit:
        words = {"most": display.duration(aim.minutes), "source": aim.source.rstrip(".")}
        return (
            gettext(
                "Your rule states no times for cooling. The ways below are held against your own limit out of the cold,"
                " %(most)s. Source: %(source)s."
            )
            % words
        )
    return gettext(
        "Your rule states no times for cooling, so no way keeps it or breaks it: cool it as fast as you can. Guidance,"
        " no limit: %(guidance)s. Source: %(source)s. Your authority may ask for less time."
    ) % {"guidance": gettext(aim.guidance), "source": gettext(aim.source)}


def remedy_sentence(change: Reason) -> str:
    """Write one change that meets the rule as what to do."""
    if change.code in _DONE:
        return presenters.reason_sentence(change, _DONE, _WRITERS)
    return gettext("This would meet the rule: %(change)s.") % {"change": _sentence(change)}


def _remedy_shown(remedy: Remedy, aim: Aim | None) -> RemedyShown:
    found = remedy.trial
    likely, slow = likely_time(found.cold_likely), slow_end(found.cold_slow, found.doubt)
    times = (gettext(BEYOND), gettext(BEYOND)) if found.freezes else (likely, slow)
    change = _sentence(remedy.change)
    if aim is None:
        outcome = gettext(_OUTCOMES[remedy.verdict]) if remedy.short is None else _sentence(remedy.short)
        return RemedyShown(change, outcome, remedy.helps, *times, by_rule=_by_rule(found))
    outcome = gettext(_WITHIN[remedy.verdict]) if aim.is_limit else ""
    outcome = outcome if remedy.short is None else _sentence(remedy.short)
    return RemedyShown(change, outcome, aim.is_limit and remedy.helps, *times, fast=fast_time(found.cold_fast))


def _by_rule(found: Trial) -> str:
    """Write the limit that decides at the slow end, the one that fails or is nearest to failing, and which it is."""
    if found.freezes or found.doubt or not found.legs:
        return ""
    deciding = max(found.legs, key=_share)
    share, leg = _share(deciding), deciding.leg
    minutes = deciding.slow.minutes
    words = {
        "begins": "" if leg.from_c is None else display.temperature(leg.from_c),
        "ends": display.temperature(leg.to_c),
        "slow": gettext(BEYOND) if minutes is None else slow_time(minutes),
        "within": display.duration(leg.minutes),
    }
    if leg.from_c is None:
        text = gettext("Limit that fails: to %(ends)s, %(slow)s of %(within)s at the slowest")
        if share <= 1:
            text = gettext("Closest limit: to %(ends)s, %(slow)s of %(within)s at the slowest")
        return text % words
    text = gettext("Limit that fails: %(begins)s to %(ends)s, %(slow)s of %(within)s at the slowest")
    if share <= 1:
        text = gettext("Closest limit: %(begins)s to %(ends)s, %(slow)s of %(within)s at the slowest")
    return text % words


def _share(one: LegRange) -> float:
    """Return how much of its time a limit takes at the slow end [1]; infinite where it is not reached."""
    return inf if one.slow.minutes is None else float(one.slow.minutes) / float(one.leg.minutes)


def _sentence(reason: Reason) -> str:
    return presenters.reason_sentence(reason, SENTENCES, _WRITERS)
