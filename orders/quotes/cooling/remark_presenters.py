"""What is remarked on about cooling without a stop, in words."""

from collections.abc import Iterable, Iterator

from django.utils.translation import gettext

from catalog.cooling.never_hot_claims import NeverHotClaim
from catalog.web import display
from orders.quotes.cooling.remarked import Remarked, TooShort


def remark_sentences(found: Remarked) -> list[str]:
    """Write what a review remarks on: what is measured each time, and steps that are too short."""
    return [*_likely(found.likely), *map(_short, found.short)]


def likely_words(names: Iterable[str]) -> str:
    """Write that something likely meets its rule, but not at the slow end."""
    text = gettext("%(names)s: likely meets the cooling rule, but not at the slow end. Measure it.")
    return text % {"names": display.joined(list(names))}


def _likely(names: tuple[str, ...]) -> Iterator[str]:
    if names:
        yield likely_words(names)


def _short(one: TooShort) -> str:
    words = {"name": one.name, "stated": display.duration(one.stated), "likely": display.duration(one.likely)}
    if one.slow is None:
        text = gettext(
            "%(name)s: its stated steps are too short for the cooling. They state %(stated)s, and it is cold after"
            " about %(likely)s. Enter a longer chill, and check how long it may be held."
        )
        return text % words
    text = gettext(
        "%(name)s: its stated steps are too short for the cooling. They state %(stated)s, and it is cold after about"
        " %(likely)s, %(slow)s at the slow end. Enter a longer chill, and check how long it may be held."
    )
    return text % {**words, "slow": display.duration(one.slow)}


def claim_words(one: NeverHotClaim) -> str:
    """Write that a recipe counts as never hot by the owner's word, with its steps as they stand and her reason."""
    each = display.joined([gettext("“%(step)s”") % {"step": step} for step in one.steps])
    words = {"name": one.name, "steps": each, "reason": one.reason.rstrip(".")}
    if each:
        text = gettext("Nothing heats %(name)s while it is made, as you recorded: %(steps)s.")
    else:
        text = gettext("Nothing heats %(name)s while it is made, as you recorded. It has no steps.")
    return f"{text} {gettext('Reason: %(reason)s.')}" % words if one.reason else text % words
