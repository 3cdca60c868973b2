"""The chart of price components: one bar per line, split into five parts in a fixed order."""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from typing import Final

from django.utils.safestring import SafeString
from django.utils.translation import gettext
from django.utils.translation import gettext_noop as marked

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
_WORDS: Final = {
    "ingredients": marked("ingredients"),
    "packaging": marked("packaging"),
    "labour": marked("labor"),
    "overhead": marked("overhead"),
    "margin": marked("margin"),
}
_BAR: Final = 26
_ROW: Final = 62
_KEY_ROW: Final = 24
#: A segment narrower than this [percent] has no room for its figure at 320 px.
_ROOM: Final = 15
#: Parts are drawn in whole parts of this many to the unit of money: whole numbers are added far faster than fractions.
_FINEST: Final = 10**12
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
    def parts(self) -> tuple[int, ...]:
        """Return costs and margin in drawing order, in whole `_FINEST`; the margin is negative below the cost."""
        costs = [_finest(cost) for cost in (self.ingredients, self.packaging, self.labor, self.overhead)]
        return (*costs, _finest(self.price) - sum(costs))


def _finest(value: Figure) -> int:
    over, under = value.as_integer_ratio()
    return (2 * over * _FINEST + under) // (2 * under)


def _described(line: MakeUp, parts: Sequence[int], currency: str) -> str:
    whole = sum(parts)
    shares = ", ".join(
        f"{gettext(_WORDS[name])} {percent(Fraction(part, whole)) if whole else percent(0, 0)}"
        for name, part in zip(PARTS, parts, strict=True)
    )
    return f"{line.label}, {amount(line.price, currency)}: {shares}"


def _key(drawing: Drawing, fills: dict[str, str], top: int) -> int:
    """Draw the legend of patterns, two to a row; return where it ends."""
    for number, name in enumerate(PARTS):
        x, y = (number % 2) * 50, top + number // 2 * _KEY_ROW
        drawing.parts.append(
            f'<svg x="{pc(x)}" y="{y}" width="50%" height="{_KEY_ROW}"><rect x="1" y="3" width="22" height="16" '
            f'fill="{fills[name]}" stroke="{INK}" stroke-width="1"/></svg>'
            f'<svg x="{pc(x)}" y="{y}" width="50%" height="{_KEY_ROW}"><text x="30" y="16" font-size="14" '
            f'fill="{INK}">{number + 1} {gettext(_WORDS[name])}</text></svg>'
        )
    return top + 3 * _KEY_ROW + 8


def _bar(drawing: Drawing, line: MakeUp, parts: Sequence[int], fills: dict[str, str], top: int, currency: str) -> int:
    """Draw a line's name, price and bar; return where the next one begins."""
    price, lost = sum(parts), max(-parts[-1], 0)
    whole = price + lost
    drawing.text(amount(line.price, currency), 100, y=top + 14, anchor="end")
    top += drawing.heading(line.label, top=top, room=_NAME)
    drawn = 0
    for number, (name, value) in enumerate(zip(PARTS, parts, strict=True), start=1):
        if value <= 0:
            continue
        x, width = Fraction(100 * drawn, whole), Fraction(100 * value, whole)
        drawing.rect(x, width, y=top + 22, height=_BAR, fill=fills[name], stroke=CARD)
        if width >= _ROOM:
            words = f"{number}: {percent(Fraction(value, price), 0)}" if price else str(number)
            drawing.label(words, x + width / 2, y=top + 40)
        drawn += value
    if lost:
        drawing.line(share(price, whole), top=top + 18, bottom=top + 26 + _BAR, stroke="#a3122f")
    drawing.rect(0, 100, y=top + 22, height=_BAR, fill="none", stroke=INK)
    if lost:
        below = gettext("%(amount)s below cost") % {"amount": amount(Fraction(lost, _FINEST), currency)}
        drawing.text(below, 0, y=top + 66, fill="#a3122f")
        top += 20
    return top + _ROW


def price_makeup(lines: Sequence[MakeUp], *, currency: str = "", title: str = "") -> SafeString:
    """Draw one bar a line: ingredients, packaging, labor, overhead and margin as shares of the price.

    Where the price does not cover the cost the bar is the cost, and a line marks where the price ends.
    """
    split = [(line, line.parts) for line in lines]
    drawing = Drawing(
        title or gettext("What each price is made of"),
        sentences(_described(line, parts, currency) for line, parts in split),
    )
    fills = {name: drawing.pattern(name, ground, marks) if marks else ground for name, (ground, marks) in _LOOK.items()}
    top = _key(drawing, fills, 0)
    for line, parts in split:
        top = _bar(drawing, line, parts, fills, top, currency)
    if not lines:
        drawing.text(gettext("No lines yet."), 0, y=top + 14, fill=SOFT)
        top += _ROW
    drawing.height = top
    return drawing.svg()
