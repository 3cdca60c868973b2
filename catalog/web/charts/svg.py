"""The few SVG elements the charts are drawn with."""

from collections.abc import Iterable
from dataclasses import dataclass, field
from fractions import Fraction
from itertools import count
from textwrap import wrap
from typing import Final

from django.utils.html import escape
from django.utils.safestring import SafeString, mark_safe

from catalog.web.display import rounded

INK: Final = "#2a2321"
SOFT: Final = "#6a5f59"
HAIR: Final = "#d9d0c6"
CARD: Final = "#ffffff"
PLUM: Final = "#6e2c4e"
#: Sizes of words and the height of their lines [px]: legible at arm's length.
TEXT: Final = 16
LINE: Final = 21
SMALL: Final = 15

_numbers = count(1)


def share(value: Fraction | float, whole: Fraction | float) -> Fraction:
    """Return a percentage of the whole, kept between 0 and 100."""
    if not whole:
        return Fraction(0)
    return min(max(Fraction(value) / Fraction(whole) * 100, Fraction(0)), Fraction(100))


def pc(value: Fraction | float) -> str:
    """Write a percentage as an SVG length."""
    if isinstance(value, int):
        return f"{value}%"
    return f"{rounded(Fraction(value), 3).normalize():f}%"


@dataclass
class Drawing:
    """Collects SVG elements from top to bottom; every drawing has unique ids."""

    title: str
    description: str
    key: str = field(default_factory=lambda: f"picture-{next(_numbers)}")
    height: int = 0
    parts: list[str] = field(default_factory=list)

    def rect(
        self,
        x: Fraction | float,
        width: Fraction | float,
        *,
        y: int,
        height: int,
        fill: str,
        stroke: str = "none",
        thick: int = 1,
    ) -> None:
        """Draw a rectangle; along the axis in percent, across it in pixels."""
        self.parts.append(
            f'<rect x="{pc(x)}" y="{y}" width="{pc(width)}" height="{height}" fill="{fill}" stroke="{stroke}" '
            f'stroke-width="{thick}"/>'
        )

    def line(self, x: Fraction | float, *, top: int, bottom: int, stroke: str = INK, dash: str = "") -> None:
        """Draw a mark across the axis, with a light edge that separates it from what it crosses."""
        dashes = f' stroke-dasharray="{dash}"' if dash else ""
        where = f'x1="{pc(x)}" x2="{pc(x)}" y1="{top}" y2="{bottom}"'
        self.parts.append(
            f'<line {where} stroke="{CARD}" stroke-width="6"/>'
            f'<line {where} stroke="{stroke}" stroke-width="2"{dashes}/>'
        )

    def level(self, y: int, *, stroke: str = HAIR) -> None:
        """Draw a hairline along the axis."""
        self.parts.append(f'<line x1="0%" x2="100%" y1="{y}" y2="{y}" stroke="{stroke}" stroke-width="1"/>')

    def text(
        self,
        words: str,
        x: Fraction | float,
        *,
        y: int,
        anchor: str = "start",
        size: int = TEXT,
        fill: str = INK,
        bold: bool = False,
    ) -> None:
        """Write text on a baseline."""
        weight = ' font-weight="700"' if bold else ""
        self.parts.append(
            f'<text x="{pc(x)}" y="{y}" font-size="{size}" text-anchor="{anchor}" fill="{fill}"{weight}>'
            f"{escape(words)}</text>"
        )

    def heading(self, words: str, *, top: int, room: int = 29, bold: bool = True) -> int:
        """Write a row's name above it, in as many lines as it needs at 320 px; return how much lower the row begins."""
        lines = wrap(words, room) or [""]
        for number, line in enumerate(lines):
            self.text(line, 0, y=top + TEXT + number * LINE, bold=bold)
        return (len(lines) - 1) * LINE

    def box(
        self, words: str, x: Fraction | float, width: Fraction | float, *, y: int, height: int, fill: str, stroke: str
    ) -> None:
        """Draw a block with text that is clipped at its end."""
        self.parts.append(
            f'<svg x="{pc(x)}" y="{y}" width="{pc(width)}" height="{height}" overflow="hidden">'
            f'<rect x="0" y="0" width="100%" height="{height}" fill="{fill}" stroke="{stroke}" stroke-width="2"/>'
            f'<text x="5" y="{height // 2 + 5}" font-size="{SMALL}" fill="{INK}">{escape(words)}</text></svg>'
        )

    def svg(self) -> SafeString:
        """Return the SVG text."""
        title, description = f"{self.key}-title", f"{self.key}-desc"
        return mark_safe(  # noqa: S308 - every text went through escape, every number through pc
            f'<svg xmlns="http://www.w3.org/2000/svg" width="100%" height="{self.height}" role="img" '
            f'aria-labelledby="{title} {description}">'
            f'<title id="{title}">{escape(self.title)}</title>'
            f'<desc id="{description}">{escape(self.description)}</desc>'
            f"{''.join(self.parts)}</svg>"
        )


def sentences(lines: Iterable[str]) -> str:
    """Join the description's sentences."""
    return " ".join(line if line.endswith(".") else f"{line}." for line in lines)
