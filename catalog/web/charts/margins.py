"""Margins against their target and the floor."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from typing import Final

from django.utils.safestring import SafeString
from django.utils.translation import gettext

from catalog.web.charts.svg import CARD, LINE, SOFT, TEXT, Drawing, sentences, share
from catalog.web.display import percent

Share = Decimal | Fraction | int

GOOD: Final = "#45622b"
LOW: Final = "#a3122f"
_BAR: Final = 22
_GAP: Final = 14
#: Beyond these places along the bar [percent] a mark's words end or begin at it, so that they stay on the picture.
_FIRST, _LAST = 18, 82


@dataclass(frozen=True, slots=True)
class MarginRow:
    """A product, or all of an order: its margin, the target of its rule if one counts, the floor; of the net price."""

    label: str
    margin: Share
    target: Share | None
    floor: Share

    @property
    def verdict(self) -> str:
        """Return the margin's verdict in words."""
        if self.margin < self.floor:
            return gettext("below floor")
        if self.target is None:
            return gettext("above floor") if self.margin > self.floor else gettext("at floor")
        return gettext("on target") if self.margin >= self.target else gettext("below target")

    @property
    def words(self) -> str:
        """Return the margin with its verdict."""
        facts = {"margin": percent(self.margin), "verdict": self.verdict}
        return gettext("%(margin)s, %(verdict)s") % facts


def _described(row: MarginRow) -> str:
    facts = {
        "label": row.label,
        "margin": percent(row.margin),
        "target": "" if row.target is None else percent(row.target),
        "floor": percent(row.floor),
        "verdict": row.verdict,
    }
    if row.target is None:
        return gettext("%(label)s: margin %(margin)s, floor %(floor)s, %(verdict)s") % facts
    return gettext("%(label)s: margin %(margin)s, target %(target)s, floor %(floor)s, %(verdict)s") % facts


def _scale(rows: Sequence[MarginRow]) -> Fraction:
    """Return the share at the right end: the largest shown plus some room, at least a fifth."""
    return max((Fraction(value) * Fraction(11, 10) for row in rows for value in _shares(row)), default=Fraction(1, 5))


def _shares(row: MarginRow) -> Iterator[Share]:
    yield from (Fraction(2, 11), row.margin, row.floor)
    if row.target is not None:
        yield row.target


def _row(drawing: Drawing, row: MarginRow, top: int, scale: Fraction) -> int:
    """Draw a row: its words, the bar with the floor named over it and the target under it; return its end."""
    if row.label:
        top += drawing.heading(row.label, top=top) + LINE
    drawing.text(row.words, 0, y=top + TEXT, bold=True)
    bar = top + 2 * LINE + 6
    drawing.rect(0, 100, y=bar, height=_BAR, fill=CARD, stroke=SOFT)
    fill = LOW if row.margin < row.floor else GOOD
    drawing.rect(0, share(Fraction(row.margin), scale), y=bar + 3, height=_BAR - 6, fill=fill)
    _mark(drawing, gettext("floor %(margin)s"), row.floor, scale, y=bar - 9, top=bar - 4, bottom=bar + _BAR)
    if row.target is None:
        return bar + _BAR + _GAP
    under = bar + _BAR
    _mark(drawing, gettext("target %(margin)s"), row.target, scale, y=under + LINE, top=bar, bottom=under + 4)
    return under + LINE + _GAP


def _mark(drawing: Drawing, words: str, value: Share, scale: Fraction, *, y: int, top: int, bottom: int) -> None:
    """Draw a mark across the bar, and its words beside it."""
    at = share(Fraction(value), scale)
    drawing.line(at, top=top, bottom=bottom)
    anchor = "start" if at < _FIRST else "end" if at > _LAST else "middle"
    drawing.text(words % {"margin": percent(value)}, at, y=y, anchor=anchor)


def margins(rows: Sequence[MarginRow], *, title: str = "") -> SafeString:
    """Draw a bar for each margin on one scale, with a named mark at its floor and one at its target."""
    drawing = Drawing(title or gettext("Margin against target and floor"), sentences(map(_described, rows)))
    top, scale = 0, _scale(rows)
    for row in rows:
        top = _row(drawing, row, top, scale)
    if not rows:
        drawing.text(gettext("Nothing to compare yet."), 0, y=top + TEXT, fill=SOFT)
        top += 24
    drawing.height = top
    return drawing.svg()
