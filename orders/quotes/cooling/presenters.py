"""What breaks the cooling rule, and what is measured instead, in words."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Final

from django.forms import Form
from django.urls import reverse

from catalog.cooling.missing_presenters import missing_sentence, note_sentence
from catalog.cooling.words import likely_time, slow_time
from catalog.web import display
from costing.chilling import THICK, Trial
from orders.quotes.cooling.selectors import FREEZES, NO_SOURCE, Broken, RuledTable, Unanswered
from orders.quotes.cooling.untimed import Untimed
from orders.quotes.models import CoolingOverride

#: Kind of item -> the page that shows how it cools.
_PAGES: Final = {"product": "product-cooling", "recipe": "recipe-cooling"}


#: Kind of thing in which something is not entered -> the list it is found in, without a query for its key.
_LISTS: Final = {
    "product": ("products", "Products"),
    "recipe": ("recipes", "Recipes"),
    "vessel": ("vessels", "Vessels"),
}


@dataclass(frozen=True, slots=True)
class BrokenShown:
    """One item that breaks the rule: what is recorded for it, whether that still stands, and its form.

    ``verdict`` says what is the matter with it, after its name.
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


def broken_shown(found: RuledTable, forms: Mapping[str, Form] | None = None) -> tuple[BrokenShown, ...]:
    """Write each item that breaks the rule, with its form where there are forms."""
    return tuple(
        BrokenShown(
            name=one.name,
            rule=one.rule,
            limit_c=one.limit_c,
            sentence=unrecorded_sentence(found, one),
            link=_link(one),
            override=found.override(one),
            stands=found.standing(one) is not None,
            batch=one.item.kind == "recipe",
            form=(forms or {}).get(str(one.item)),
            verdict=verdict_words(one),
            open=one.missing is not None,
        )
        for one in found.broken
    )


def never_shown(found: RuledTable) -> tuple[BrokenShown, ...]:
    """Write each item that may never get cold where it chills: no record allows it, so it has no form."""
    return tuple(
        BrokenShown(one.name, one.rule, one.limit_c, _never(one), _link(one), batch=one.item.kind == "recipe")
        for one in found.never
    )


def _never(one: Broken) -> str:
    batch = ", as a batch for this table," if one.item.kind == "recipe" else ""
    return (
        f"{one.name}{batch} may never get to {display.temperature(one.limit_c)} where it chills. Set colder air there, "
        "or change its steps: a record of what is measured does not help."
    )


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
        UnansweredShown(one.name, missing_sentence(one.missing), *_LISTS.get(one.missing.kind, _LISTS["product"]))
        for one in found
    )


def untimed_sentences(found: Iterable[Untimed]) -> list[str]:
    """Write how long batches take to get cold where the rule in force states no times."""
    return [f"{one.name} {untimed_words(one.trial)}" for one in found]


def untimed_words(found: Trial) -> str:
    """Write how long something cools under a rule without times, and that guidance asks for less."""
    if found.never:
        takes = "may never get cold there"
    elif found.cold_slow is None:
        takes = f"cools in about {likely_time(found.cold_likely)}, or {THICK} that: it is thicker than was measured"
    else:
        takes = f"cools in {likely_time(found.cold_likely)} to {slow_time(found.cold_slow)}"
    return (
        f"{takes}; your rule states no times. Guidance asks for less: as quickly as possible, within 1 to 2 h. Go by "
        "your authority’s guidance, and divide it or cool it faster."
    )


def _link(one: Broken) -> str:
    page = _PAGES.get(one.item.kind)
    return reverse(page, args=[one.item.pk]) if page else ""


def verdict_words(one: Broken) -> str:
    """Write what is the matter with an item that breaks the rule, or of which nobody stated how it cools."""
    if one.missing is not None and one.why == NO_SOURCE:
        return f"its cooling is not answered. {missing_sentence(one.missing)}"
    if one.missing is not None:
        return f"made hot, and nobody has stated how this cools. {missing_sentence(one.missing)}"
    if one.short is not None:
        return f"cannot be made as planned. {note_sentence(one.short)} In fewer vessels it may not be cold in time."
    if one.why == FREEZES:
        return f"its rim freezes before its middle is cold, so the rule ({one.rule}) cannot be judged."
    return f"not cold in the time the rule asks for ({one.rule})."


def unrecorded_sentence(found: RuledTable, one: Broken) -> str:
    """Write what is missing before a quote with an item can be sent; empty when nothing is."""
    if found.standing(one) is not None:
        return ""
    if found.override(one) is None and one.missing is not None:
        return f"{one.name}: {verdict_words(one)} Or record what is measured instead, and by whom, before it is sent."
    if found.override(one) is None and one.short is not None:
        return f"{one.name}: {verdict_words(one)} Or record how it is made and measured instead, before it is sent."
    if found.override(one) is None and one.why == FREEZES:
        return f"{one.name}: {verdict_words(one)} Record what is measured instead, and by whom, before it is sent."
    if found.override(one) is None:
        return (
            f"{one.name} is not cold in the time the rule asks for. Record what is measured instead, and by whom, "
            f"before it is sent."
        )
    return (
        f"{one.name}: its steps or its cooling changed since you recorded what is measured instead. Look at it and "
        f"record it again before it is sent."
    )
