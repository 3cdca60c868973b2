"""Missing input of cooling in words, with the page where it is entered, and remarks."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from functools import partial
from typing import Final

from django.urls import reverse
from django.utils.translation import gettext, ngettext
from django.utils.translation import gettext_noop as marked

from catalog.cooling.missing import HELD, Missing
from catalog.cooling.time_used import USED_UP
from catalog.cooling.words import length
from catalog.records.presenters import Sentences, Writers, reason_sentence
from catalog.records.reasons import Reason
from catalog.web import display
from catalog.web.display.handy import weighed


@dataclass(frozen=True, slots=True)
class MissingShown:
    """A sentence about missing input, and the page where it is entered; ``used_up``: nothing is, it stands out long."""

    sentence: str
    url: str
    used_up: bool = False


#: Code of a reason -> its words.
SENTENCES: Final[Sentences] = {
    "no_cold_stage": marked(
        "No chill step follows “{step}”. Add one, and choose its refrigerator. If what leaves there is safe at room"
        " temperature, such as a dry meringue, check that on its recipe and enter the source that says so."
    ),
    "no_cold_minutes": marked(
        "“{step}” does not say how long it stays there. Enter its total time: at least until it is cold."
    ),
    "hot_before": marked(
        "“{step}” leaves it at {start_c:warm}, and its steps do not show that it was at {to_c:warm} within"
        " {minutes:duration} of {from_c:warm}: the limits run from when it left the heat. Enter the minutes of the"
        " steps since then, or “Leaves at” at the step that heats it."
    ),
    "bath_ends_warm": marked(
        "The ice bath after “{step}” ends at {to_c:warm}, and no chill step follows. Add one, or let the"
        " ice bath go on until it is cold."
    ),
    "bath_ends_early": marked(
        "The ice bath after “{step}” ends after {minutes:duration}, before it is cold at the slowest, and no chill"
        " step follows. Add one, or let the ice bath go on until it is cold."
    ),
    "cold_too_short": marked(
        "“{step}” ends after {minutes:duration}, and at the slowest it is cold only after {needed:duration} there."
        " It then stands in the room from “{after}” on, for {room:duration}, so its cooling cannot be judged as"
        " stated. Leave it at “{step}” until it is cold, or add a chill step after it."
    ),
    "waits_warm": marked(
        "{product}: {part} waits warm for {waits:duration} while {count} loads are filled one after the other, and its"
        " warm hold is {most:duration} at most. Make it in {batches} batches, each just before its loads."
        " Loads for one batch at most: {loads}."
    ),
    "waits_warm_by_rule": marked(
        "{product}: {part} waits warm for {waits:duration} while {count} loads are filled one after the other, and your"
        " rule allows {most:duration}. Make it in {batches} batches, each just before its loads."
        " Loads for one batch at most: {loads}."
    ),
    "one_batch_fills": marked(
        "{part} goes in warm, and a load is filled every {every:duration}. In its warm hold of {most:duration} one"
        " batch of it fills {loads:loads} at most (units: {units}). For more, make several batches, each just before"
        " its loads."
    ),
    "one_batch_fills_by_rule": marked(
        "{part} goes in warm, and a load is filled every {every:duration}. In the {most:duration} that your rule allows"
        " one batch of it fills {loads:loads} at most (units: {units}). For more, make several batches, each just"
        " before its loads."
    ),
    "short_before_restated": marked(
        "“{step}” ends after {minutes:duration}, and at the slowest it is cold only after {needed:duration} there."
        " Then “{after}” states {stated_c:warm}, as if its cooling began there: the time that it was warm before would"
        " not count. Leave it at “{step}” until it is cold, or take the temperature out of “{after}”."
    ),
    "held_too_long": marked(
        "“{step}” may be held for {minutes:duration} (“Maximum hold”) before it goes into the cold, and held so long it"
        " is not cold in the time your rule asks for. Shorten the hold, or put it into the cold at once."
    ),
    "chill_not_reached": marked(
        "“{step}” is stated to leave at {stated_c:warm} after {minutes:duration}, and at the fastest"
        " that takes {needed:duration} or more. Leave it there longer, or correct the temperature."
    ),
    "cooled_too_soon": marked(
        "“{step}” is stated to leave at {stated_c:warm}, {minutes:duration} after “{before}” left it at"
        " {before_c:warm}. Even at the fastest it is warmer then. Measure its middle, where it is"
        " warmest, at the end of “{step}”, and correct “Leaves at” or the minutes."
    ),
    "colder_than_parts": marked(
        "“{step}” is stated to leave at {stated_c:warm}, and what goes in gives {parts_c:warm}: {hot:joined} goes in"
        " hot. Measure it at the end of that step, and enter that under “Leaves at”, or clear it there."
    ),
    "off_heat_cold": marked(
        "“{step}” heats, and is stated to leave at {stated_c:warm}, colder than {least_c:warm}. Enter how warm it is"
        " when it comes off the heat. If it stands or cools before the next step, add a step for that."
    ),
    "no_refrigerator": marked("Choose the refrigerator for “{step}”."),
    "no_air": marked("Enter the air temperature of {station}."),
    "no_mold": marked("Choose what {product} is made in, so that its shape is known."),
    "no_measures": marked("Enter the inside measures of {mold}."),
    "no_height": marked("Enter how high {mold} is filled for {product}."),
    "not_said": marked(
        "“{step}” makes it hot, and what it cools in is not stated. Enter “Leaves at” at that step, and its vessel."
    ),
    "heat_in_words": marked(
        "“{word}” in {part} speaks of heat, and no step states it: is it hot or cold while it is made? Enter “Leaves"
        " at” and a vessel at the step that leaves it hot, or check “Never hot” on {part}.{more:also}"
    ),
    "never_hot_contradicted": marked(
        "{part} is marked as never hot, and its step “{step}” speaks of heat. Enter how warm it leaves and its vessel"
        " at that step, or describe the step as what it is.{more:also}"
    ),
    "never_hot_note": marked(
        "{part} is marked as never hot, and its notes speak of heat: “{word}”. Enter how warm it leaves and its vessel"
        " at the step that heats it, or write the notes as what it is."
    ),
    "never_hot_named": marked(
        "{part} is marked as never hot, and “{word}” is cooked as a rule. Enter under “What is used instead of cooking”"
        " of {part} what that is, such as pasteurized yolks and instant starch, or enter “Leaves at” and a vessel at"
        " the step that leaves it hot."
    ),
    "never_hot_starch": marked(
        "{part} is marked as never hot and holds {holds:perishables} with starch, which is cooked as a rule. Enter"
        " under “What is used instead of cooking” of {part} what that is, such as instant starch, or enter “Leaves at”"
        " and a vessel at the step that leaves it hot."
    ),
    "never_hot_gelled": marked(
        "{part} is marked as never hot and sets milk, cream, juice or purée with gelatin, agar or pectin, which is"
        " dissolved hot as a rule. Enter under “What is used instead of cooking” of {part} what that is, or enter"
        " “Leaves at” and a vessel at the step that leaves it hot."
    ),
    "never_hot_chocolate_cream": marked(
        "{part} is marked as never hot and holds cream with chocolate, which is made hot as a rule. Enter under “What"
        " is used instead of cooking” of {part} what that is, such as a bought chocolate base that is stirred in cold,"
        " or enter “Leaves at” and a vessel at the step that leaves it hot."
    ),
    "never_hot_syrup": marked(
        "{part} is marked as never hot and dissolves sugar in water, which is done hot as a rule. Enter under “What is"
        " used instead of cooking” of {part} what that is, or enter “Leaves at” and a vessel at the step that leaves it"
        " hot."
    ),
    "heat_gelled": marked(
        "{part} sets milk, cream, juice or purée with gelatin, agar or pectin, which is dissolved hot as a rule, and no"
        " step states it. Enter “Leaves at” and a vessel at the step that leaves it hot, or check “Never hot” on {part}"
        " and enter what is used instead of cooking."
    ),
    "heat_chocolate_cream": marked(
        "{part} holds cream with chocolate, which is made hot as a rule, and no step states it. Enter “Leaves at” and a"
        " vessel at the step that leaves it hot, or check “Never hot” on {part} and enter what is used instead of"
        " cooking."
    ),
    "heat_syrup": marked(
        "{part} dissolves sugar in water, which is done hot as a rule, and no step states it. Enter “Leaves at” and a"
        " vessel at the step that leaves it hot, or check “Never hot” on {part} and enter what is used instead of"
        " cooking."
    ),
    "heat_in_step": marked(
        "The step “{step}” of {product} speaks of heat, and nothing states how warm it is then. Enter how warm it"
        " leaves at that step, by its core temperature, or describe the step as what it is.{more:also}"
    ),
    "heat_unstated": marked(
        "{part} holds {holds:perishables} and waits in the cold, and no step states whether it is hot or cold before."
        " Enter “Leaves at” and a vessel at the step that leaves it hot, or check “Never hot” on {part}."
    ),
    "part_not_said": marked(
        "{part} goes into {recipe} hot, and what it then cools in is not stated. Enter “Leaves at”"
        " and a vessel at a step of {recipe}."
    ),
    "leaves_not_said": marked(
        "“{step}” makes it hot, and its temperature at the end is not stated. Enter “Leaves at” at that step."
    ),
    "part_leaves_not_said": marked(
        "{part} goes in hot after “{step}”, and its temperature at the end is not stated. Enter “Leaves at” at that"
        " step of {part}."
    ),
    "no_step_takes_hot": marked(
        "{part} goes in hot, and no step says how it cools. Add the step at which it goes in, and the chill step."
    ),
    "no_source": marked(
        "{part} holds {holds:perishables} and is entered as safe at room temperature, and no source is given that says"
        " it. Enter under “Source” of {part} who says so and by what, or clear the check mark and state how it cools."
    ),
    "time_out_used": marked(
        "Its own steps have it out of the cold for {minutes:duration} in all ({steps:joined}), and your rule allows"
        " {most:duration}. Choose a refrigerator at these steps, or shorten them."
    ),
    "time_out_used_limit": marked(
        "Its own steps have it out of the cold for {minutes:duration} in all ({steps:joined}), and your own limit is"
        " {most:duration}. Choose a refrigerator at these steps, or shorten them."
    ),
    "time_out_used_house": marked(
        "Its own steps have it out of the cold for {minutes:duration} in all ({steps:joined}). Your rule states no"
        " time; more than {most:duration} is asked about. Choose a refrigerator at these steps, or shorten them."
    ),
    "no_vessel": marked(
        "Choose the vessel it cools in after “{step}”. If it goes warm into what it is for, enter at its last step a"
        " “Maximum hold” of 1 h or less instead."
    ),
    "no_vessel_sizes": marked("Enter the inside measures of {vessel}."),
    "does_not_fit": marked(
        "A batch of {kg:kilograms} does not fit into {count} × {vessel}: one holds {holds:kilograms}, so {needed} are"
        " needed.{owned:in_the_kitchen} Enter how many it goes into, or leave it empty for as many as needed."
    ),
    "over_the_rim": marked(
        "What goes into one {product} stands {height:centimeters} high in {mold}, whose rim is at {rim:centimeters}."
        " Check the amounts, the fill height and the mold. State at its steps what is put on top after it has cooled."
    ),
    "nothing_in_yet": marked("Nothing is in {product} at “{step}” yet. Check at its steps what goes in at which."),
    "unknown_food": marked(
        "The composition of {names:row} is not known. Choose its row of the food table, or enter its composition."
    ),
    "mixture": marked("{message}"),
    "height_follows": marked("No fill height is entered: {height:centimeters} follows from what goes into {mold}."),
    "height_differs": marked(
        "What goes into one would fill {mold} to {full:centimeters}, and {height:centimeters} is entered. The greater"
        " of the two counts until they agree. Check the height, the amounts, and the air whipped into its recipes."
    ),
    "more_than_owned": marked("Needs {count} × {vessel}, and the kitchen has {owned}."),
    "owned_unknown": marked(
        "How many {vessel} the kitchen has is not entered, so nothing checks whether there are enough."
    ),
    "brimful": marked(
        "{count} × {vessel} would be filled to {share:whole_percent} of the height. Fill to {most:whole_percent} at"
        " most, so that nothing spills and there is room to stir: divide it over more, or use a deeper vessel."
    ),
    "more_for_the_depth": marked(
        "“In how many” says {stated} and “Deep at most” {most_mm:length}. The two do not fit together for this amount,"
        " so it is divided over {count} × {vessel}."
    ),
    "start_follows": marked(
        "No step says how warm it is once {hot:joined} went in, so {start_c:warm} follows from what goes in: each as"
        " warm as it goes in, mixed by heat capacity. Measure it, and enter “Leaves at”, to go by that."
    ),
    "since_heat": marked(
        "By its steps it left the heat {minutes:duration} before the end of “{step}”: the limits count from then."
    ),
    "judged_as_stated": marked(
        "“{step}” ends after the stated {minutes:duration}, before it is cold at the slowest: the steps in the room"
        " after it count, as stated. It helps to leave it there until it is cold."
    ),
    "whole_from_start": marked(
        "Its steps do not say when each component goes in, so all of it counts as in it and as warm from the start."
        " That is the cautious assumption."
    ),
    "goes_in_while_cooling": marked(
        "While it cools, more goes in: {names:joined}. No step says how warm it leaves then, so all of it counts as in"
        " it and as warm from the start. That is the cautious assumption."
    ),
    "left_out": marked("The composition of {names:joined} is not known; it is left out ({share:percent} of the mass)."),
}


def _also(steps: Sequence[str]) -> str:
    """Write which other steps are asked about too; nothing where none is."""
    quoted = [gettext("“%(step)s”") % {"step": step} for step in steps]
    return " " + gettext("These speak of heat too: %(steps)s.") % {"steps": display.joined(quoted)} if quoted else ""


#: Parameter format -> function that writes the value.
WRITERS: Final[Writers] = {
    "duration": display.duration,
    "loads": lambda count: ngettext("%(n)s load", "%(n)s loads", int(count)) % {"n": count},
    "in_the_kitchen": lambda owned: "" if owned is None else gettext(" The kitchen has %(owned)s.") % {"owned": owned},
    "also": _also,
    "joined": display.joined,
    "kilograms": lambda kg: weighed(Fraction(kg) * 1000, pounds=display.current().measures == "us"),
    "length": length,
    "percent": display.percent,
    "whole_percent": partial(display.percent, digits=0),
    "row": ", ".join,
    "centimeters": display.length,
    "warm": display.temperature,
}
#: Kind of thing -> the page on which it is changed; a list has no key.
_PAGES: Final[Mapping[str, str]] = {
    "product": "product-edit",
    "recipe": "recipe-answers",
    "mold": "mold-edit",
    "vessel": "vessel-edit",
    "station": "kitchen-stations-edit",
    "ingredients": "ingredients",
}


def missing_shown(missing: Missing, key: int | None) -> MissingShown:
    """Write what is missing and where it is entered; ``key`` is the primary key of the row, None for a list."""
    used_up = missing.reason.code in USED_UP
    # No question answers it: its steps have to change.
    page = (
        "recipe-edit" if (used_up or missing.reason.code == HELD) and missing.kind == "recipe" else _PAGES[missing.kind]
    )
    url = reverse(page, args=[] if key is None else [key])
    return MissingShown(missing_sentence(missing), url, used_up=used_up)


def missing_sentence(missing: Missing) -> str:
    """Say what is missing."""
    return note_sentence(missing.reason)


def note_sentence(reason: Reason) -> str:
    """Say what is missing, what seems odd, or what is left out."""
    return reason_sentence(reason, SENTENCES, WRITERS)
