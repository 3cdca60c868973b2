"""What would keep the rule that a product's cooling does not: less height, less width, other air, other molds."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from catalog.cooling.cycles import CoolingCycle, mold_body
from catalog.cooling.words import KEPT, NEVER, at_most, length, likely_time, slow_time
from catalog.web import display
from costing.chilling import (
    Around,
    Block,
    Body,
    Cylinder,
    Plan,
    Sizes,
    Trial,
    Verdict,
    depth,
    diameter,
    straight_in,
    trials,
    verdict_of,
)
from costing.chilling import with_air as in_air
from costing.contract import Mold


@dataclass(frozen=True, slots=True)
class Remedy:
    """A change that was tried: in words, how the rule is kept with it, and when it is cold."""

    words: str
    verdict: Verdict
    likely: str
    slow: str

    @property
    def kept(self) -> str:
        """How the rule is kept with it, in words."""
        return KEPT[self.verdict]

    @property
    def helps(self) -> bool:
        """Whether the rule is kept with it, at least as likely."""
        return self.verdict in ("kept", "likely")


@dataclass(frozen=True, slots=True)
class Remedies:
    """All that was tried, and what there is to say beside it."""

    tried: tuple[Remedy, ...]
    sentences: tuple[str, ...]

    @property
    def hopeless(self) -> bool:
        """Whether nothing that was tried would keep the rule."""
        return not any(remedy.helps for remedy in self.tried)


def remedies_of(run: CoolingCycle, molds: Sequence[Mold]) -> Remedies:
    """Try what a kitchen can change, each by itself and with less time in the room; ``moulds`` are those it owns."""
    plan = run.plan
    tried = [_told(words, found) for words, found in _airs(plan)]
    sizes, sentences = _sizes(plan)
    others = list(_molds(run, molds))
    found = trials([plan for _, plan in (*sizes, *others)]) if sizes or others else []
    tried += [_told(words, one) for (words, _), one in zip(sizes, found, strict=False)]
    in_molds = [_told(words, one) for (words, _), one in zip(others, found[len(sizes) :], strict=True)]
    helping = [one for one in in_molds if one.helps]
    return Remedies((*tried, *helping), (*sentences, *_mold_sentences(len(in_molds), len(helping))))


def _told(words: str, found: Trial) -> Remedy:
    times = (NEVER, NEVER) if found.freezes else (likely_time(found.cold_likely), slow_time(found.cold_slow))
    return Remedy(words, verdict_of(found.legs, found.freezes), *times)


def _airs(plan: Plan) -> Iterator[tuple[str, Trial]]:
    """Try each air, and each of them without the time in the room; what changes nothing is left out."""
    straight = straight_in(plan)
    if straight is not None:
        yield "Straight into the cold, no time in the room", straight
    for air, words in (("fan", "A fan in its refrigerator"), ("blast", "A blast chiller")):
        found = in_air(plan, air)
        if found.plan.stages == plan.stages:
            continue
        cold = "" if air == "fan" else f" at {display.temperature(found.plan.stages[-1].ambient_c, 1)}"
        yield f"{words}{cold}", found
        sooner = straight_in(plan, air)
        if sooner is not None:
            yield f"{words}{cold}, and straight into it", sooner


def _sizes(plan: Plan) -> tuple[list[tuple[str, Plan]], list[str]]:
    """Give plans of the largest sizes that keep the rule, and say where even the smallest does not."""
    plans: list[tuple[str, Plan]] = []
    sentences: list[str] = []
    body = plan.body
    present = body.height_mm
    height = depth(plan)
    for mm in _smaller(height, present):
        words = f"At most {at_most(mm)} high instead of {length(present)}"
        plans.append((words, replace(plan, body=replace(body, height_mm=mm))))
    if height.likely_mm is None:
        sentences.append("No height keeps the rule, however low, with all else as it is.")
    if not isinstance(body, Cylinder | Block):
        return plans, sentences
    width, name = diameter(plan), "across" if isinstance(body, Cylinder) else "wide"
    now = body.diameter_mm if isinstance(body, Cylinder) else body.width_mm
    for mm in _smaller(width, now) if width else ():
        plans.append((f"At most {at_most(mm)} {name} instead of {length(now)}", replace(plan, body=_scaled(body, mm))))
    if width is not None and width.likely_mm is None:
        sentences.append(f"At this height nothing keeps the rule, however little it measures {name}.")
    return plans, sentences


def _smaller(sizes: Sizes, present: float) -> list[float]:
    """Return the sizes worth naming, the one that holds at the slow end too first."""
    found = (sizes.slow_mm, sizes.likely_mm)
    return list(dict.fromkeys(mm for mm in found if mm is not None and mm < present))


def _scaled(body: Cylinder | Block, mm: float) -> Body:
    if isinstance(body, Cylinder):
        return replace(body, diameter_mm=mm)
    return replace(body, length_mm=mm * body.length_mm / body.width_mm, width_mm=mm)


def _molds(run: CoolingCycle, molds: Sequence[Mold]) -> Iterator[tuple[str, Plan]]:
    """Fill each other mold as high as now, or to its rim, and put it through the same stages."""
    product, present = run.product, run.plan.body.height_mm
    for mold in molds:
        rim = present if mold.height_cm is None else float(mold.height_cm) * 10
        body = mold_body(mold, min(present, rim))
        if mold.name == product.mold or body is None:
            continue
        around = Around(mold.wall, product.stands_on, product.covered)
        stages = tuple(around.stage(each.moving, each.minutes, each.air_c) for each in run.stages)
        plan = replace(run.plan, body=body, stages=stages, around=around)
        yield f"In {mold}, filled to {length(body.height_mm)}", plan


def _mold_sentences(tried: int, helping: int) -> Iterator[str]:
    failed = tried - helping
    if not failed:
        return
    if not helping:
        one = "The other mould you own" if failed == 1 else f"None of the {failed} other moulds you own"
        yield f"{one} would {'not ' if failed == 1 else ''}keep it, filled as high as now or to the rim."
    else:
        yield f"{failed} other {'mould' if failed == 1 else 'moulds'} you own would not keep it."
