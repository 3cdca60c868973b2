"""Steps that nobody has said are cold, in words."""

from collections.abc import Iterator

from django.utils.translation import gettext

from orders.quotes.cooling.never_hot import OpenSteps


def step_sentences(found: OpenSteps) -> Iterator[str]:
    """Write the open steps, each with what it is a step of."""
    words = gettext("%(name)s: %(sentence)s")
    return (words % {"name": claim.name, "sentence": step_sentence(step)} for claim, step in found)


def step_sentence(step: str) -> str:
    """Write that a step is open, and how the owner answers."""
    text = gettext(
        "Nobody has said whether “%(step)s” is cold, as the steps are now. The owner answers before it is made: enter"
        " at the step how warm it leaves, or send a revision or a change of the order; its review asks."
    )
    return text % {"step": step}
