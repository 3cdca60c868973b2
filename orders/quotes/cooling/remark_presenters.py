"""What is remarked on about cooling without a stop, in words."""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction
from math import ceil
from typing import Final

from django.urls import reverse
from django.utils.translation import gettext, ngettext
from django.utils.translation import gettext_noop as marked

from catalog.cooling.never_hot_claims import NeverHotClaim
from catalog.web import display
from costing.contract.plan_bounds import SAFE_COLD_WAIT_MIN
from orders.quotes.cooling.remarked import Ageless, Likely, Minded, Remarked, TooShort
from orders.quotes.cooling.selectors import Item


@dataclass(frozen=True, slots=True)
class RemarkShown:
    """A remark, with links (words, address) to the pages that show how it cools."""

    sentence: str
    links: tuple[tuple[str, str], ...] = ()


def remarks_shown(found: Remarked) -> list[RemarkShown]:
    """Write what a review remarks on: what is measured each time, and steps that are too short."""
    return [*_likely([*found.products, *found.batches]), *map(_short, found.short), *_ageless(found.unstated)]


def batch_remarks_shown(found: Remarked) -> list[RemarkShown]:
    """Write the same of batches alone, where the estimate has a note about its products already."""
    return [*_likely(found.batches), *map(_short, found.short), *_ageless(found.unstated)]


def _link(name: str, item: Item, grams: Fraction | None, *, alone: bool = True) -> tuple[str, str]:
    """Return the page that shows how an item cools; of a batch at the size that was judged."""
    words = gettext("How it cools") if alone else gettext("How %(product)s cools") % {"product": name}
    page = reverse(f"{item.kind}-cooling", args=[item.pk])
    return words, page if grams is None else f"{page}?amount={max(1, ceil(grams))}+g"


def likely_words(names: Iterable[str]) -> str:
    """Write that something likely meets its rule, but not at the slow end."""
    text = gettext("%(names)s: likely meets the cooling rule, but not if it cools slowly. Measure it.")
    return text % {"names": display.joined(list(names))}


def minded_words(found: Iterable[Minded]) -> str:
    """Write what is measured although nothing waits for it."""
    every = list(found)
    likely, slow = ([one.name for one in every if one.slow == wanted] for wanted in (False, True))
    return " ".join([*([likely_words(likely)] if likely else []), *([_slow_words(slow)] if slow else [])])


def _slow_words(names: list[str]) -> str:
    text = gettext(
        "%(names)s: slow to cool, longer than guidance asks for. Divide it, or cool it faster, and measure it."
    )
    return text % {"names": display.joined(names)}


def _likely(found: Sequence[Likely]) -> Iterator[RemarkShown]:
    if found:
        links = (_link(one.name, one.item, one.grams, alone=len(found) == 1) for one in found)
        yield RemarkShown(likely_words(dict.fromkeys(one.name for one in found)), tuple(links))


def _ageless(found: Sequence[Ageless]) -> Iterator[RemarkShown]:
    if not found:
        return
    text = ngettext(
        "You have not stated how long %(names)s keeps: no maximum hold is entered at its last step. Until you do, it"
        " counts as made at most %(days)s before it is used, and what is measured of it earlier does not count.",
        "You have not stated how long %(names)s keep: no maximum hold is entered at their last steps. Until you"
        " do, they count as made at most %(days)s before they are used, and what is measured of them earlier does not"
        " count.",
        len(found),
    )
    names = display.joined([one.name for one in found])
    days = display.duration(SAFE_COLD_WAIT_MIN)
    yield RemarkShown(text % {"names": names, "days": days}, tuple((one.name, _hold_field(one)) for one in found))


def _hold_field(one: Ageless) -> str:
    field = "steps-add" if one.step is None else f"id_steps-{one.step}-hold_max"
    return f"{reverse('recipe-edit', args=[one.recipe_id])}#{field}"


def _short(one: TooShort) -> RemarkShown:
    return RemarkShown(_short_words(one), (_link(one.name, one.item, one.grams),))


def _short_words(one: TooShort) -> str:
    words = {"name": one.name, "stated": display.duration(one.stated), "likely": display.duration(one.likely)}
    if one.slow is None:
        text = gettext(
            "%(name)s: its stated steps are too short for the cooling. They state %(stated)s, and it is cold after"
            " about %(likely)s. Enter a longer chill, and check how long it may be held."
        )
        return text % words
    text = gettext(
        "%(name)s: its stated steps are too short for the cooling. They state %(stated)s, and it is cold after about"
        " %(likely)s, %(slow)s at the slowest. Enter a longer chill, and check how long it may be held."
    )
    return text % {**words, "slow": display.duration(one.slow)}


#: By what it counts as cold -> what stands above it where a person is to look at it.
CLAIM_HEADINGS: Final = {
    "tick": marked("Never hot, by your word."),
    "silence": marked("Nothing says whether this is hot."),
    "beside": marked("These steps count as cold, by your word."),
    "product": marked("These steps count as cold, by your word."),
}


def claim_heading(one: NeverHotClaim) -> str:
    """Write the heading above what counts as cold: a whole recipe, or steps of one that is hot at another."""
    return gettext(CLAIM_HEADINGS[one.counts_by])


def claim_words(one: NeverHotClaim) -> str:
    """Write what counts as cold by the owner's word: a recipe with its steps and her reason, or steps of a hot one."""
    each = display.joined([gettext("“%(step)s”") % {"step": step} for step in one.steps])
    words = {"name": one.name, "steps": each, "reason": one.reason.rstrip(".")}
    if one.counts_by in ("beside", "product"):
        return gettext("Nothing heats %(name)s at these steps, by your word: %(steps)s.") % words
    if each:
        text = gettext("Nothing heats %(name)s while it is made, as you recorded: %(steps)s.")
    else:
        text = gettext("Nothing heats %(name)s while it is made, as you recorded. It has no steps.")
    return f"{text} {gettext('Reason: %(reason)s.')}" % words if one.reason else text % words
