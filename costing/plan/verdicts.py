"""What can be answered about an inquiry: one of four verdicts, or a time."""

from __future__ import annotations

from dataclasses import dataclass

from costing.plan.explaining import Reason
from costing.plan.problem import Plan
from costing.plan.proofs import SureUse

AS_PLANNED, BY_REARRANGING, UNDECIDED, IMPOSSIBLE = "as_planned", "by_rearranging", "undecided", "impossible"
"""The four verdicts: yes beside the plan as it is; yes with others elsewhere inside their windows; we check; no."""


@dataclass(frozen=True, slots=True)
class Answer:
    """Whether something can be promised.

    Parameters
    ----------
    verdict : str
        One of the four.
    plan : Plan or None
        For a yes, where everything is.
    sure_use : SureUse or None
        For a no, more needed than there is whatever is moved.
    reasons : tuple of Reason
        For a no, one cause or two that are in the way.
    """

    verdict: str
    plan: Plan | None = None
    sure_use: SureUse | None = None
    reasons: tuple[Reason, ...] = ()


@dataclass(frozen=True, slots=True)
class Time:
    """A time that was asked for.

    Parameters
    ----------
    minute : int or None
        [min]; None where there is none, or none was found.
    plan : Plan or None
        With it, where everything is.
    exact : bool
        Whether nothing better is left, and None means that there is none.
    """

    minute: int | None
    plan: Plan | None
    exact: bool
