"""What cooling by a rule without times is held against: the owner's own limit, else guidance, which is no limit."""

from dataclasses import dataclass, replace

from catalog.cooling.stages import CoolingCycle
from costing.chilling import Profile as Rule
from costing.chilling import aimed_at


@dataclass(frozen=True, slots=True)
class Aim:
    """In how many minutes it should be cold [min]: by a limit of the house or its authority, or by guidance alone.

    ``guidance`` is what that asks for, in words; empty for a limit.
    """

    minutes: float
    source: str
    guidance: str = ""

    @property
    def is_limit(self) -> bool:
        """Whether the owner set it as a limit."""
        return not self.guidance


def aim_of(rule: Rule) -> Aim | None:
    """Return what a rule without times leaves cooling to be held against; None where the rule has times."""
    if rule.legs or rule.guidance is None:
        return None
    own = next((clause for clause in rule.times_out if clause.kind == "house"), None)
    if own is not None:
        return Aim(own.minutes, own.source)
    return Aim(rule.guidance.minutes, rule.guidance.source, rule.guidance.title)


def aimed(cycle: CoolingCycle) -> CoolingCycle:
    """Return a cycle whose rule asks for its aim: cold in time since it left the heat; as it is where it has none."""
    aim = aim_of(cycle.plan.rule)
    return cycle if aim is None else replace(cycle, plan=aimed_at(cycle.plan, aim.minutes))
