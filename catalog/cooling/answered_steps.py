"""Steps that count as cold, apart: those that somebody has answered for in a quote, and those that are still open.

Quotes are above the catalog: ``settings.STEPS_ANSWERED`` names who knows the answers.
"""

from collections.abc import Iterable
from dataclasses import dataclass

from django.conf import settings
from django.utils.module_loading import import_string

from catalog.cooling.never_hot_claims import NeverHotClaim


@dataclass(frozen=True, slots=True)
class AnsweredStep:
    """The text of a step, the quote in which somebody answered that it is cold, and its key."""

    text: str
    quote: str
    quote_id: int


@dataclass(frozen=True, slots=True)
class StepsBeside:
    """The steps of a recipe that count as cold: ``open`` are those that nobody has answered for yet."""

    name: str
    open: tuple[str, ...]
    answered: tuple[AnsweredStep, ...]


def steps_beside(claims: Iterable[NeverHotClaim]) -> tuple[StepsBeside, ...]:
    """Return such steps of some recipes, with what was answered; two queries where there are any."""
    claims = tuple(claims)
    known: dict[str, tuple[str, int]] = import_string(settings.STEPS_ANSWERED)(claims)
    return tuple(_of(claim, known) for claim in claims)


def _of(claim: NeverHotClaim, known: dict[str, tuple[str, int]]) -> StepsBeside:
    given = {text: known[mark] for text in claim.asked if (mark := claim.mark(text)) in known}
    answered = tuple(AnsweredStep(text, *by) for text, by in given.items())
    return StepsBeside(claim.name, tuple(text for text in claim.asked if text not in given), answered)
