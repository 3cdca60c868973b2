"""The chart of receivables by age."""

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import Final

from django.utils.safestring import SafeString

from catalog.web.charts.svg import CARD, HAIR, PLUM, SOFT, Drawing, sentences, share
from catalog.web.display import minor

_ROW: Final = 52
_BAR: Final = 18


@dataclass(frozen=True, slots=True)
class Age:
    """An age of debts in words ("not due yet", "1 to 30 days late"), what is owed and on how many documents."""

    label: str
    amount_minor: int
    documents: int = 0


def _documents(number: int) -> str:
    return "1 document" if number == 1 else f"{number} documents"


def receivables(ages: Sequence[Age], *, currency: str = "", title: str = "Money owed, by age") -> SafeString:
    """Draw a bar for each age, all on one scale, in the order given."""
    drawing = Drawing(
        title,
        sentences(f"{age.label}: {minor(age.amount_minor, currency)} on {_documents(age.documents)}" for age in ages),
    )
    most = max((age.amount_minor for age in ages), default=0)
    top = 0
    for age in ages:
        drawing.text(minor(age.amount_minor, currency), 100, y=top + 14, anchor="end", bold=True)
        top += drawing.heading(age.label, top=top, room=20, bold=False)
        drawing.rect(0, 100, y=top + 22, height=_BAR, fill=CARD, stroke=HAIR)
        drawing.rect(0, share(Fraction(age.amount_minor), most), y=top + 22, height=_BAR, fill=PLUM)
        top += _ROW
    if not ages:
        drawing.text("Nothing is owed.", 0, y=14, fill=SOFT)
        top = 24
    drawing.height = top
    return drawing.svg()
