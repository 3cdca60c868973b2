"""Margins against their target and the floor."""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from typing import Final

from django.utils.safestring import SafeString
from django.utils.translation import gettext

from catalog.web.charts.svg import CARD, HAIR, INK, PLUM, SMALL, SOFT, Drawing, sentences, share
from catalog.web.display import percent

Share = Decimal | Fraction | int

_ROW: Final = 64
_BAR: Final = 18


@dataclass(frozen=True, slots=True)
class MarginRow:
    """A product or line: its margin, the target of its rule, the floor; shares of the net price."""

    label: str
    margin: Share
    target: Share
    floor: Share

    @property
    def verdict(self) -> str:
        """Return the margin's verdict in words."""
        if self.margin < self.floor:
            return gettext("below floor")
        return gettext("on target") if self.margin >= self.target else gettext("below target")


def _described(row: MarginRow) -> str:
    return gettext("%(label)s: margin %(margin)s, target %(target)s, floor %(floor)s, %(verdict)s") % {
        "label": row.label,
        "margin": percent(row.margin),
        "target": percent(row.target),
        "floor": percent(row.floor),
        "verdict": row.verdict,
    }


def _scale(rows: Sequence[MarginRow]) -> Fraction:
    """Return the share at the right end: the largest shown plus some room, at least a fifth."""
    most = max((Fraction(value) for row in rows for value in (row.margin, row.target, row.floor)), default=Fraction(0))
    return max(most * Fraction(11, 10), Fraction(1, 5))


def _row(drawing: Drawing, row: MarginRow, top: int, scale: Fraction, bad: str) -> int:
    """Draw a row; return where the next one begins."""
    fill = bad if row.margin < row.floor else PLUM
    top += drawing.heading(row.label, top=top)
    drawing.text(f"{percent(row.margin)}, {row.verdict}", 0, y=top + 31, size=SMALL)
    drawing.rect(0, 100, y=top + 38, height=_BAR, fill=CARD, stroke=HAIR)
    drawing.rect(0, share(Fraction(row.margin), scale), y=top + 40, height=_BAR - 4, fill=fill)
    drawing.line(share(Fraction(row.floor), scale), top=top + 35, bottom=top + 41 + _BAR, dash="3 3")
    drawing.line(share(Fraction(row.target), scale), top=top + 35, bottom=top + 41 + _BAR)
    return top + _ROW + 6


def margins(rows: Sequence[MarginRow], *, title: str = "") -> SafeString:
    """Draw a bar for each margin with a solid line at the target and a dashed one at the floor."""
    drawing = Drawing(title or gettext("Margin against target and floor"), sentences(map(_described, rows)))
    bad = drawing.pattern(
        "short", "#fbe6e8", '<path d="M-2 10L10 -2M-2 2L2 -2M6 10L10 6" stroke="#a3122f" stroke-width="2"/>'
    )
    drawing.parts.append(
        f'<line x1="2" x2="2" y1="2" y2="20" stroke="{INK}" stroke-width="2"/>'
        f'<text x="10" y="16" font-size="14" fill="{INK}">{gettext("target")}</text>'
        f'<line x1="82" x2="82" y1="2" y2="20" stroke="{INK}" stroke-width="2" stroke-dasharray="3 3"/>'
        f'<text x="90" y="16" font-size="14" fill="{INK}">{gettext("floor")}</text>'
    )
    top, scale = 32, _scale(rows)
    for row in rows:
        top = _row(drawing, row, top, scale, bad)
    if not rows:
        drawing.text(gettext("Nothing to compare yet."), 0, y=top + 14, fill=SOFT)
        top += 24
    drawing.height = top
    return drawing.svg()
