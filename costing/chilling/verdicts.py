"""What a rule says about a plan: each of its legs over the range, and one verdict."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Literal

from costing.chilling.chill import Freezing
from costing.chilling.plans import Doubt, Plan
from costing.chilling.profiles import Leg, LegResult, results

Verdict = Literal["kept", "likely", "not kept", "untimed", "freezes"]
NOT_MET: Verdict = "not kept"


def is_unmet(verdict: Verdict, *, timed: bool) -> bool:
    """Say whether a rule is not kept, or cannot be judged because something freezes first: nobody can say that it is.

    Parameters
    ----------
    verdict : str
        As `Report.verdict`.
    timed : bool
        Whether the rule states times; of one without them nothing can be broken.

    Returns
    -------
    bool
        Whether it stops what is to be sold under the rule.
    """
    return verdict == NOT_MET or (verdict == "freezes" and timed)


Times = Mapping[float, float | None]
"""Temperature [°C] to when it is reached [min]; None when never."""


@dataclass(frozen=True, slots=True)
class LegRange:
    """The results of a leg of the rule over the range.

    Parameters
    ----------
    leg : Leg
        The leg.
    fast : LegResult
        At the fast end.
    likely : LegResult
        As given.
    slow : LegResult
        At the slow end.
    """

    leg: Leg
    fast: LegResult
    likely: LegResult
    slow: LegResult


def rule_limits(plan: Plan) -> list[float]:
    """Return the temperatures that a plan's rule sets.

    Parameters
    ----------
    plan : Plan
        What cools.

    Returns
    -------
    list of float
        Temperatures [°C], each once, falling; including the one at which it counts as cold.
    """
    ends = {end for leg in plan.rule.legs for end in (leg.from_c, leg.to_c) if end is not None}
    return sorted(ends | {plan.cold_c}, reverse=True)


def leg_ranges(
    plan: Plan,
    fast: Times,
    likely: Times,
    slow: Times,
    *,
    initial_c: float | None = None,
    hot_before_min: float | None = None,
) -> tuple[LegRange, ...]:
    """Check a plan's rule at both ends of the range and as given.

    Parameters
    ----------
    plan : Plan
        What cools.
    fast : mapping of float to float or None
        Temperature [°C] -> time at which the core reaches it at the fast end [min].
    likely : mapping of float to float or None
        The same as given [min].
    slow : mapping of float to float or None
        The same at the slow end [min].
    initial_c : float or None, optional
        Where the clock starts [°C]; None: the warmest of the plan at minute 0.
    hot_before_min : float or None, optional
        How long it had left the heat at minute 0 [min]; None: as the plan says.

    Returns
    -------
    tuple of LegRange
        One for each leg.
    """
    begins = plan.case.hottest_c if initial_c is None else initial_c
    before = plan.hot_before_min if hot_before_min is None else hot_before_min
    ends = (fast, likely, slow)
    each = (results(plan.rule, begins, times.__getitem__, hot_before_min=before) for times in ends)
    return tuple(LegRange(leg, *found) for leg, *found in zip(plan.rule.legs, *each, strict=True))


def may_never(cold_slow: float | None, frozen: Freezing | None, doubt: Doubt | None = None) -> bool:
    """Say whether something may never get cold where it stands: it does not at the slow end of its range.

    The one meaning of "never" for products, batches, pages and sheets, and the safer of two: at the likely figures it
    may well get there. What freezes first, or is thicker than was measured, is another matter: of it nothing is known.

    Parameters
    ----------
    cold_slow : float or None
        When it is cold at the slow end [min]; None when not within `LONGEST_MIN`.
    frozen : Freezing or None
        The stage that freezes the rim before the core is cold.
    doubt : Doubt or None, optional
        Why the range does not hold.

    Returns
    -------
    bool
        Whether it may never get cold.
    """
    return cold_slow is None and frozen is None and doubt is None


def verdict_of(legs: Sequence[LegRange], frozen: Freezing | None, doubt: Doubt | None = None) -> Verdict:
    """Return the verdict of a rule.

    Parameters
    ----------
    legs : sequence of LegRange
        The rule's legs, those of each layer too; none when it states no times.
    frozen : Freezing or None
        The stage that freezes the rim before the core is cold.
    doubt : Doubt or None, optional
        Why the range does not hold; a rule then counts as not kept, whatever the likely time.

    Returns
    -------
    str
        As `Report.verdict`.
    """
    if frozen is not None:
        return "freezes"
    if not legs:
        return "untimed"
    if doubt is not None or not all(leg.likely.met for leg in legs):
        return "not kept"
    return "kept" if all(leg.slow.met for leg in legs) else "likely"
