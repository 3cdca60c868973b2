"""What breaks the cooling rule, and what is measured instead, in words."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from math import ceil
from typing import Final

from django.forms import Form
from django.urls import reverse
from django.utils.translation import gettext
from django.utils.translation import gettext_noop as marked

from catalog.cooling.missing import HELD
from catalog.cooling.missing_presenters import missing_sentence, note_sentence
from catalog.cooling.remedy_presenters import remedy_sentence
from catalog.cooling.time_used import USED_UP
from catalog.cooling.words import likely_time, slow_time, thick_words
from catalog.web import display
from costing.chilling import Guidance, Trial
from orders.quotes.cooling.measuring_content import is_chosen
from orders.quotes.cooling.reading_presenters import due_words
from orders.quotes.cooling.reading_times import ReadingTimes
from orders.quotes.cooling.selectors import FREEZES, NO_SOURCE, Broken, Item, RuledTable, Unanswered
from orders.quotes.cooling.untimed import Untimed
from orders.quotes.models import CoolingOverride

#: Kind of item -> the page that shows how it cools.
_PAGES: Final = {"product": "product-cooling", "recipe": "recipe-cooling"}


#: Reasons by which it is open whether it is hot at all: it is not called hot then.
_HEAT_OPEN: Final = (
    *("heat_unstated", "heat_in_words", "heat_in_step", "never_hot_named", "never_hot_starch"),
    *("heat_gelled", "heat_chocolate_cream", "heat_syrup"),
    *("never_hot_gelled", "never_hot_chocolate_cream", "never_hot_syrup"),
)
#: Kind of thing in which something is not entered -> the list it is found in, without a query for its key.
_LISTS: Final = {
    "product": ("products", marked("Products")),
    "recipe": ("recipes", marked("Recipes")),
    "vessel": ("vessels", marked("Vessels")),
}


@dataclass(frozen=True, slots=True)
class BrokenShown:
    """One item that breaks the rule: what is recorded for it, whether that still stands, and its form.

    ``verdict`` says what is the matter with it, after its name; ``helps`` the first change that meets the rule; ``due``
    when its readings fall due by the plan. ``own_words``: an older record, in the owner's own words.
    """

    name: str
    rule: str
    limit_c: float
    sentence: str
    link: str
    override: CoolingOverride | None = None
    stands: bool = False
    batch: bool = False
    form: Form | None = None
    verdict: str = ""
    open: bool = False
    helps: str = ""
    due: str = ""
    own_words: bool = False

    @property
    def recorded_as(self) -> str:
        """What its record is: a measurement that was chosen, or words of an older one that name none for sure."""
        return gettext("The owner’s words, not a measurement") if self.own_words else gettext("Measured instead")


def broken_shown(
    found: RuledTable,
    forms: Mapping[str, Form] | None = None,
    times: Mapping[Item, Sequence[ReadingTimes]] | None = None,
) -> tuple[BrokenShown, ...]:
    """Write each item that breaks the rule, with its form where there are forms, and when its readings fall due."""
    return tuple(
        BrokenShown(
            name=one.name,
            rule=_rules_words(one),
            limit_c=one.limit_c,
            sentence=unrecorded_sentence(found, one),
            link=_link(one.item, one.grams),
            override=found.override(one),
            stands=found.standing(one) is not None,
            batch=one.item.kind == "recipe",
            form=(forms or {}).get(str(one.item)),
            verdict=verdict_words(one),
            open=one.missing is not None,
            helps=_helps(found, one),
            due=due_words((times or {}).get(one.item, ())),
            own_words=(recorded := found.override(one)) is not None and not is_chosen(recorded.measured),
        )
        for one in found.broken
    )


def _helps(found: RuledTable, one: Broken) -> str:
    change = found.helps(one)
    return "" if change is None else remedy_sentence(change)


def never_shown(found: RuledTable) -> tuple[BrokenShown, ...]:
    """Write each item that may never get cold where it chills: no record allows it, so it has no form."""
    return tuple(
        BrokenShown(
            one.name,
            rule_words(one.rule, one.part),
            one.limit_c,
            _never(one),
            _link(one.item, one.grams),
            batch=one.item.kind == "recipe",
        )
        for one in found.never
    )


def _never(one: Broken) -> str:
    words = {"name": one.name, "limit": display.temperature(one.limit_c)}
    if one.item.kind == "recipe":
        text = gettext(
            "%(name)s, as a batch for this order, may never get to %(limit)s where it chills. Set the air colder there,"
            " or change its steps: planning a measurement does not help."
        )
    else:
        text = gettext(
            "%(name)s may never get to %(limit)s where it chills. Set the air colder there, or change its steps:"
            " planning a measurement does not help."
        )
    return text % words


@dataclass(frozen=True, slots=True)
class UnansweredShown:
    """What cools and cannot be judged: its name, what is not entered, and the list where it is found."""

    name: str
    sentence: str
    page: str
    words: str


def unanswered_shown(found: Iterable[Unanswered]) -> tuple[UnansweredShown, ...]:
    """Write what cools and cannot be judged."""
    return tuple(
        UnansweredShown(one.name, missing_sentence(one.missing), page, gettext(words))
        for one in found
        for page, words in (_LISTS.get(one.missing.kind, _LISTS["product"]),)
    )


@dataclass(frozen=True, slots=True)
class UntimedShown:
    """How long something takes to get cold where the rule in force states no times, and the page that shows it."""

    sentence: str
    link: str


def untimed_shown(found: Iterable[Untimed]) -> list[UntimedShown]:
    """Write how long batches and products take to get cold where the rule in force states no times."""
    text = gettext("%(name)s: %(words)s")
    return [
        UntimedShown(text % {"name": one.name, "words": untimed_words(one.trial)}, _link(one.item, one.grams))
        for one in found
    ]


def untimed_words(found: Trial) -> str:
    """Write how long something cools under a rule without times, and that guidance asks for less."""
    text = gettext("%(takes)s; your rule states no times. %(guidance)s Divide it, or cool it faster.")
    return text % {"takes": _takes(found), "guidance": guidance_words(found.plan.rule.guidance)}


def guidance_words(guidance: Guidance | None) -> str:
    """Write what guidance asks for where a rule states no times, and where that stands."""
    if guidance is None:
        return ""
    text = gettext("Guidance, no limit: %(guidance)s. Source: %(source)s. Your authority may ask for less time.")
    return text % {"guidance": gettext(guidance.title), "source": gettext(guidance.source)}


def slow_words(found: Trial) -> str:
    """Write the same for a row of a sheet, whose foot says what the rule and the guidance are."""
    words = gettext("%(takes)s, longer than guidance asks for. Divide it, or cool it faster.") % {
        "takes": _takes(found)
    }
    return f"{words[:1].upper()}{words[1:]}"


def _takes(found: Trial) -> str:
    words = {"likely": likely_time(found.cold_likely), "slow": slow_time(found.cold_slow), "thick": thick_words()}
    if found.never:
        return gettext("may never get cold there")
    if found.cold_slow is None:
        return gettext("cools in about %(likely)s, or %(thick)s that, because it is too thick to estimate") % words
    return gettext("cools in %(likely)s to %(slow)s") % words


def cooling_link(item: Item) -> str:
    """Return the address of the page that shows how an item cools, and what helps."""
    return reverse(_PAGES[item.kind], args=[item.pk])


def _link(item: Item, grams: Fraction | None) -> str:
    address = cooling_link(item)
    # The page opens at the size that was judged: the usual batch may well keep the rule.
    return address if grams is None else f"{address}?amount={max(1, ceil(grams))}+g"


def rule_words(rule: str, part: str) -> str:
    """Write a rule; where something cools more than once, with the step that it is about."""
    return gettext("for “%(step)s”: %(rule)s") % {"step": part, "rule": gettext(rule)} if part else gettext(rule)


def _rules_words(one: Broken) -> str:
    """Write the rule of each cooling that breaks it."""
    each = [(one.rule, one.part), *((later.rule, later.part) for later in one.later)]
    return "; ".join(rule_words(*rule) for rule in each)


def verdict_words(one: Broken) -> str:
    """Write all that is the matter with an item that breaks the rule, or of which nobody stated how it cools."""
    return " ".join(filter(None, (_verdict(one), missing_sentence(one.also) if one.also else "")))


def _verdict(one: Broken) -> str:
    if one.missing is not None and one.why in USED_UP:
        return gettext("its time out of the cold is used up. %(why)s") % {"why": missing_sentence(one.missing)}
    if one.missing is not None and one.why in (NO_SOURCE, *_HEAT_OPEN):
        return gettext("how it cools is not settled. %(why)s") % {"why": missing_sentence(one.missing)}
    if one.missing is not None and one.why == HELD:
        return missing_sentence(one.missing)
    if one.missing is not None:
        return gettext("made hot, and how it cools is not stated. %(why)s") % {"why": missing_sentence(one.missing)}
    if one.short is not None:
        text = gettext("cannot be made as planned. %(why)s In fewer vessels it may not be cold in time.")
        return text % {"why": note_sentence(one.short)}
    if one.why == FREEZES:
        text = gettext("the outside freezes before the core is cold, so the rule (%(rule)s) cannot be judged.")
        return text % {"rule": _rules_words(one)}
    return gettext("not cold in the time the rule asks for (%(rule)s).") % {"rule": _rules_words(one)}


def unrecorded_sentence(found: RuledTable, one: Broken) -> str:
    """Write what is missing before a quote with an item can be sent; empty when nothing is."""
    if found.standing(one) is not None:
        return ""
    words = {"name": one.name, "verdict": verdict_words(one)}
    if found.override(one) is not None:
        text = gettext(
            "%(name)s: its steps or its cooling changed since you recorded what is measured instead. Check it and"
            " record it again before sending."
        )
    elif one.missing is not None:
        text = gettext("%(name)s: %(verdict)s Or record what is measured instead, and by whom, before sending.")
    elif helps := _helps(found, one):
        words["helps"] = helps
        text = _helped(one)
    elif one.short is not None:
        text = gettext("%(name)s: %(verdict)s Or record how it is made and measured instead, before sending.")
    elif one.why == FREEZES:
        text = gettext("%(name)s: %(verdict)s Record what is measured instead, and by whom, before sending.")
    else:
        text = gettext(
            "%(name)s is not cold in the time the rule asks for. Record what is measured instead, and by whom, before"
            " sending."
        )
    return text % words


def _helped(one: Broken) -> str:
    """Return the text of what is missing where a change is known that meets the rule."""
    if one.short is not None or one.why == FREEZES:
        return gettext(
            "%(name)s: %(verdict)s %(helps)s Or record what is measured instead, and by whom, before sending."
        )
    return gettext(
        "%(name)s is not cold in the time the rule asks for. %(helps)s Or record what is measured instead, and by"
        " whom, before sending."
    )
