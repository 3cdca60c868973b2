"""The bar of a price: what it is made of, from end to end, and each part alone in its place for the row that names it.

No words stand on the bar. Each part is named in a row of the page under it, with the same stretch drawn once more
there, so the two are matched by place and not by hue.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from typing import Final

from django.utils.safestring import SafeString, mark_safe
from django.utils.translation import gettext

from catalog.web.charts.svg import CARD, HAIR, INK, SOFT, Drawing, pc, sentences
from catalog.web.display import amount, percent

Figure = Decimal | Fraction | int

#: Kind of part -> its colour; each at least 3:1 against the card it stands on.
FILLS: Final = {
    "ingredients": "#6e2c4e",
    "packaging": "#c0701c",
    "labour": "#2b5476",
    "overhead": "#8f847c",
    "delivery": "#2a7d73",
    "extras": "#a07ab0",
    "margin": "#3b5723",
}
#: What a price does not cover.
LOSS: Final = "#a3122f"
_BAR: Final = 44
_TRACK: Final = 10
#: A stretch narrower than this [percent] keeps its colour to its edge: a gap would leave nothing of it.
_SLIVER: Final = Fraction(3, 2)
#: Parts are drawn in whole parts of this many to the unit of money: whole numbers are added far faster than fractions.
_FINEST: Final = 10**12


@dataclass(frozen=True, slots=True)
class BarPart:
    """A part of a price in one currency: a kind of `FILLS`, its name. Only the margin may be negative."""

    kind: str
    label: str
    value: Figure


@dataclass(frozen=True, slots=True)
class PriceBar:
    """The whole bar, and for each part its stretch alone, to stand in the row that names the part."""

    whole: SafeString
    tracks: tuple[SafeString, ...]


@dataclass(frozen=True, slots=True)
class _Stretch:
    """Where a part lies along the bar [percent of it]."""

    part: BarPart
    start: Fraction
    width: Fraction
    fill: str


def price_bar(parts: Sequence[BarPart], *, currency: str = "", title: str = "") -> PriceBar:
    """Draw a price as one bar: its costs in the order given, the margin last.

    Where the price does not cover the costs the bar is the costs, and its end that is not covered is drawn as a loss.
    """
    stretches = tuple(_stretches(parts))
    price = sum((Fraction(part.value) for part in parts), Fraction(0))
    drawing = Drawing(title or gettext("What the price is made of"), _described(parts, price, currency), height=_BAR)
    _whole(drawing, stretches)
    return PriceBar(drawing.svg(), tuple(map(_track, stretches)))


def _finest(value: Figure) -> int:
    over, under = value.as_integer_ratio()
    return (2 * over * _FINEST + under) // (2 * under)


def _stretches(parts: Sequence[BarPart]) -> Iterator[_Stretch]:
    values = [_finest(part.value) for part in parts]
    whole, start = sum(value for value in values if value > 0), 0
    for part, value in zip(parts, values, strict=True):
        if value < 0:
            width = Fraction(-100 * value, whole) if whole else Fraction(0)
            yield _Stretch(part, Fraction(100) - min(width, Fraction(100)), min(width, Fraction(100)), LOSS)
            continue
        at, width = (Fraction(100 * number, whole) if whole else Fraction(0) for number in (start, value))
        yield _Stretch(part, at, width, FILLS[part.kind])
        start += value


def _described(parts: Sequence[BarPart], price: Fraction, currency: str) -> str:
    if not parts:
        return gettext("No lines yet.")
    shares = ", ".join(f"{part.label} {_share(part.value, price)}" for part in parts)
    return sentences([f"{amount(price, currency)}: {shares}"])


def _share(value: Figure, price: Fraction) -> str:
    return percent(Fraction(value) / price if price else Fraction(0))


def _whole(drawing: Drawing, stretches: Sequence[_Stretch]) -> None:
    """Draw the parts side by side with a gap of the card between them, and what is not covered over their end."""
    for one in stretches:
        if one.width and one.fill != LOSS:
            drawing.rect(one.start, one.width, y=0, height=_BAR, fill=one.fill)
            if one.start and one.width > _SLIVER:
                x = pc(one.start)
                drawing.parts.append(f'<line x1="{x}" x2="{x}" y1="0" y2="{_BAR}" stroke="{CARD}" stroke-width="3"/>')
    for one in stretches:
        if one.width and one.fill == LOSS:
            drawing.rect(one.start, one.width, y=_BAR - 14, height=13, fill=LOSS, stroke=CARD, thick=3)
            drawing.line(one.start, top=0, bottom=_BAR, stroke=INK)
    if not any(one.width for one in stretches):
        drawing.rect(0, 100, y=1, height=_BAR - 2, fill=CARD, stroke=SOFT)


def _track(one: _Stretch) -> SafeString:
    """Draw one part's stretch along a hairline; the row beside it says what it is."""
    middle = _TRACK // 2
    return mark_safe(  # noqa: S308 - numbers and colours of this module alone
        f'<svg xmlns="http://www.w3.org/2000/svg" class="track" width="100%" height="{_TRACK}" aria-hidden="true">'
        f'<line x1="0%" x2="100%" y1="{middle}" y2="{middle}" stroke="{HAIR}" stroke-width="1"/>'
        f'<rect x="{pc(one.start)}" y="0" width="{pc(one.width)}" height="{_TRACK}" fill="{one.fill}"/></svg>'
    )
