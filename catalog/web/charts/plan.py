"""The chart of a plan of one or more days: a row for each station, a block for each piece of work."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from fractions import Fraction
from typing import Final

from django.utils import timezone
from django.utils.safestring import SafeString
from django.utils.translation import gettext

from catalog.web.charts.svg import CARD, HAIR, INK, SMALL, SOFT, Drawing, sentences, share
from catalog.web.display import clock, day, window

#: kind of block -> ground, edge
KINDS: Final = {
    "hands": ("#fceedd", "#9a4b0b"),
    "oven": ("#fbe6e8", "#a3122f"),
    "cold": ("#e8f0f6", "#2b5476"),
    "rest": ("#eef3e4", "#45622b"),
    "out": ("#ffffff", "#2a2321"),
}
_BLOCK: Final = 28
#: Hours between marks, chosen so that at most six fit beside each other at 320 px.
_STEPS: Final = (1, 2, 3, 4, 6, 12, 24)
_MARKS: Final = 6


@dataclass(frozen=True, slots=True)
class StripBlock:
    """A piece of work with the time it takes; ``kind`` is one of hands, oven, cold, rest, out."""

    start: datetime
    end: datetime
    label: str
    kind: str = "hands"


@dataclass(frozen=True, slots=True)
class StripRow:
    """A station and its blocks; blocks that overlap are drawn under each other."""

    label: str
    blocks: tuple[StripBlock, ...]


def lanes(blocks: Sequence[StripBlock]) -> list[list[StripBlock]]:
    """Assign blocks to lanes so that no two in a lane overlap."""
    found: list[list[StripBlock]] = []
    for block in sorted(blocks, key=lambda one: (one.start, one.end, one.label)):
        lane = next((lane for lane in found if lane[-1].end <= block.start), None)
        if lane is None:
            found.append([block])
        else:
            lane.append(block)
    return found


def _marks(start: datetime, end: datetime) -> Iterator[datetime]:
    """Return whole hours of the kitchen's clock between the ends."""
    hours = (end - start) / timedelta(hours=1)
    step = next((step for step in _STEPS if hours / step <= _MARKS), None) or 24 * -(-int(hours) // (24 * _MARKS))
    local = timezone.localtime(start).replace(minute=0, second=0, microsecond=0)
    local = local.replace(hour=0) if step >= 24 else local.replace(hour=local.hour // step * step)
    while local <= end:
        if local >= start:
            yield local
        # Computed in local time, so that marks stay on full hours across a change to or from summer time.
        local = timezone.make_aware(local.replace(tzinfo=None) + timedelta(hours=step))


def _described(row: StripRow) -> str:
    work = "; ".join(f"{block.label}, {window(block.start, block.end)}" for block in row.blocks)
    return f"{row.label}: {work or gettext('free')}"


def _axis(drawing: Drawing, start: datetime, end: datetime, bottom: int) -> None:
    for mark in _marks(start, end):
        x = share(Fraction((mark - start) / (end - start)), 1)
        drawing.parts.append(
            f'<line x1="{float(x):.3f}%" x2="{float(x):.3f}%" y1="22" y2="{bottom}" stroke="{HAIR}" stroke-width="1"/>'
        )
        if x <= 90:
            midnight = timezone.localtime(mark).hour == 0
            words = day(mark).split(" ")[0][:3] + " " + str(timezone.localtime(mark).day) if midnight else clock(mark)
            drawing.text(words, x, y=16, size=SMALL, fill=INK if midnight else SOFT)


def _row(drawing: Drawing, row: StripRow, top: int, start: datetime, end: datetime) -> int:
    top += drawing.heading(row.label, top=top + 2) + 22
    for lane in lanes(row.blocks) or [[]]:
        drawing.rect(0, 100, y=top, height=_BLOCK, fill=CARD, stroke=HAIR)
        for block in lane:
            first, last = max(block.start, start), min(block.end, end)
            if first >= last:
                continue
            x = share(Fraction((first - start) / (end - start)), 1)
            ground, edge = KINDS.get(block.kind, KINDS["hands"])
            width = share(Fraction((last - start) / (end - start)), 1) - x
            drawing.box(block.label, x, width, y=top, height=_BLOCK, fill=ground, stroke=edge)
        top += _BLOCK + 2
    return top + 8


def plan_strip(rows: Sequence[StripRow], *, start: datetime, end: datetime, title: str = "") -> SafeString:
    """Draw what each station does between two moments.

    Raises ValueError when the end is not after the start.
    """
    if end <= start:
        raise ValueError("a plan ends after it starts")
    drawing = Drawing(
        title or gettext("Plan, %(window)s") % {"window": window(start, end)}, sentences(map(_described, rows))
    )
    top = 30
    axis_at = len(drawing.parts)
    for row in rows:
        top = _row(drawing, row, top, start, end)
    if not rows:
        drawing.text(gettext("Nothing is planned."), 0, y=top + 14, fill=SOFT)
        top += 24
    blocks, drawing.parts = drawing.parts[axis_at:], drawing.parts[:axis_at]
    _axis(drawing, start, end, top)
    drawing.parts += blocks
    drawing.height = top
    return drawing.svg()
