"""What breaks the cooling rule: a product or a batch, with each of its coolings that does."""

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import Final, Literal, NamedTuple

from django.utils.translation import gettext

from catalog.cooling.batch_reports import BatchTimes
from catalog.cooling.missing import Missing
from catalog.records.reasons import Reason
from costing.chilling import Leg

#: Reason: its rim freezes first.
FREEZES: Final = "freezes"


class Item(NamedTuple):
    """What a cooling verdict is about: a product, or the batch of a recipe."""

    kind: Literal["product", "recipe"]
    pk: int

    def __str__(self) -> str:
        return f"{self.kind}-{self.pk}"


@dataclass(frozen=True, slots=True)
class Later:
    """Another cooling of the same item that breaks its rule: the rule with its limits, and the step in which it is."""

    rule: str
    legs: tuple[Leg, ...]
    limit_c: float
    part: str


@dataclass(frozen=True, slots=True)
class Broken:
    """Something that breaks the cooling rule in force: ``mark`` stands for its steps and its verdict.

    ``never`` when it may never get cold where it chills (``may_never``): no record of what is measured lets it go.
    ``legs`` are the limits of its rule. ``why`` is the code of what leaves it no way to get cold, or ``FREEZES``.
    ``code`` is its code, ``parts`` in how many vessels it stands, over all batches; a product, in how many loads it
    is made. ``short`` says that it takes more vessels than the kitchen has. ``missing`` is what is not entered, where
    it is hot and nobody stated how it cools, or a source is missing.
    """

    item: Item
    name: str
    rule: str
    mark: str
    never: bool = False
    legs: tuple[Leg, ...] = ()
    limit_c: float = 0.0
    why: str = ""
    code: str = ""
    missing: Missing | None = None
    parts: int = 1
    short: Reason | None = None
    #: The batch for this order, or the largest of several [g]; None for a product.
    grams: Fraction | None = None
    #: The step in which it cools by this rule, where it cools more than once.
    part: str = ""
    #: Its other coolings that break their rule, each with a reading of its own.
    later: tuple[Later, ...] = ()
    #: What else is the matter with it, that no reading of its cooling answers.
    also: Missing | None = None


def later_of(one: BatchTimes, names: Mapping[int, str]) -> Later:
    """Return a cooling of a batch that breaks its rule; ``names`` are those of all by the index of the last step."""
    plan = one.cycle.plan
    return Later(plan.rule.title, plan.rule.legs, plan.cold_c, names[one.cycle.last_at])


def names_apart(steps: Sequence[tuple[int, str]]) -> dict[int, str]:
    """Return what each cooling is called, by the index of its last step: empty where there is one.

    Those of one name have the number of their step beside it.
    """
    called = Counter(name for _, name in steps)
    many = gettext("%(name)s (step %(number)s)")
    each = {at: name if called[name] == 1 else many % {"name": name, "number": at + 1} for at, name in steps}
    return each if len(steps) > 1 else dict.fromkeys(each, "")
