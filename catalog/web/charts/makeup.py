"""The chart of price components: one bar per line, split into five parts in a fixed order."""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from typing import Final

from django.utils.safestring import SafeString

from catalog.web.charts.svg import CARD, INK, SOFT, Drawing, pc, sentences, share
from catalog.web.display import amount, percent

Figure = Decimal | Fraction | int

#: The parts in the order they are drawn.
PARTS: Final = ("ingredients", "packaging", "labour", "overhead", "margin")

_LOOK: Final = {
    "ingredients": ("#6e2c4e", ""),
    "packaging": ("#f6dcbf", '<path d="M-2 10L10 -2M-2 2L2 -2M6 10L10 6" stroke="#9a4b0b" stroke-width="1.5"/>'),
    "labour": ("#2b5476", '<path d="M0 4H8" stroke="#cfdde9" stroke-width="1.5"/>'),
    "overhead": ("#ece5dc", '<circle cx="4" cy="4" r="1.4" fill="#2a2321"/>'),
    "margin": ("#ffffff", '<path d="M2 0V8M6 0V8" stroke="#45622b" stroke-width="1.2"/>'),
}
_BAR: Final = 26
_ROW: Final = 62
_KEY_ROW: Final = 24
#: A segment narrower than this [percent] has no room for its figure at 320 px.
_ROOM: Final = 15
#: Most characters of a name beside a price at 320 px.
_NAME: Final = 22


@dataclass(frozen=True, slots=True)
class MakeUp:
    """A line's price without tax, and what it costs to make, in one currency."""

    label: str
    price: Figure
    ingredients: Figure
    packaging: Figure
    labor: Figure
    overhead: Figure

    @property
    def costs(self) -> tuple[Fraction, Fraction, Fraction, Fraction]:
        """Return the four costs in drawing order."""
        return (
            Fraction(self.ingredients),
            Fraction(self.packaging),
            Fraction(self.labor),
            Fraction(self.overhead),
        )

    @property
    def margin(self) -> Fraction:
        """Return what is left of the price; negative when it does not cover the cost."""
        return Fraction(self.price) - sum(self.costs)


def _described(line: MakeUp, currency: str) -> str:
    whole = Fraction(line.price)
    values = (*line.costs, line.margin)
    parts = ", ".join(
        f"{name} {percent(value / whole) if whole else '0 %'}" for name, value in zip(PARTS, values, strict=True)
    )
    return f"{line.label}, {amount(line.price, currency)}: {parts}"


def _key(drawing: Drawing, fills: dict[str, str], top: int) -> int:
    """Draw the legend of patterns, two to a row; return where it ends."""
    for number, name in enumerate(PARTS):
        x, y = (number % 2) * 50, top + number // 2 * _KEY_ROW
        drawing.parts.append(
            f'<svg x="{pc(x)}" y="{y}" width="50%" height="{_KEY_ROW}"><rect x="1" y="3" width="22" height="16" '
            f'fill="{fills[name]}" stroke="{INK}" stroke-width="1"/></svg>'
            f'<svg x="{pc(x)}" y="{y}" width="50%" height="{_KEY_ROW}"><text x="30" y="16" font-size="14" '
            f'fill="{INK}">{number + 1} {name}</text></svg>'
        )
    return top + 3 * _KEY_ROW + 8


def _bar(drawing: Drawing, line: MakeUp, fills: dict[str, str], top: int, currency: str) -> int:
    """Draw a line's name, price and bar; return where the next one begins."""
    values = (*line.costs, max(line.margin, Fraction(0)))
    whole = sum(values)
    drawing.text(amount(line.price, currency), 100, y=top + 14, anchor="end")
    top += drawing.heading(line.label, top=top, room=_NAME)
    x = Fraction(0)
    for number, (name, value) in enumerate(zip(PARTS, values, strict=True), start=1):
        width = share(value, whole)
        if not width:
            continue
        drawing.rect(x, width, y=top + 22, height=_BAR, fill=fills[name], stroke=CARD)
        if width >= _ROOM:
            drawing.label(
                f"{number}: {percent(value / Fraction(line.price), 0)}" if line.price else str(number),
                x + width / 2,
                y=top + 40,
            )
        x += width
    if line.margin < 0:
        at = share(Fraction(line.price), whole)
        drawing.line(at, top=top + 18, bottom=top + 26 + _BAR, stroke="#a3122f")
    drawing.rect(0, 100, y=top + 22, height=_BAR, fill="none", stroke=INK)
    if line.margin < 0:
        drawing.text(f"{amount(-line.margin, currency)} below cost", 0, y=top + 66, fill="#a3122f")
        top += 20
    return top + _ROW


def price_makeup(
    lines: Sequence[MakeUp], *, currency: str = "", title: str = "What each price is made of"
) -> SafeString:
    """Draw one bar a line: ingredients, packaging, labor, overhead and margin as shares of the price.

    Where the price does not cover the cost the bar is the cost, and a line marks where the price ends.
    """
    drawing = Drawing(title, sentences(_described(line, currency) for line in lines))
    fills = {name: drawing.pattern(name, ground, marks) if marks else ground for name, (ground, marks) in _LOOK.items()}
    top = _key(drawing, fills, 0)
    for line in lines:
        top = _bar(drawing, line, fills, top, currency)
    if not lines:
        drawing.text("No lines yet.", 0, y=top + 14, fill=SOFT)
        top += _ROW
    drawing.height = top
    return drawing.svg()
