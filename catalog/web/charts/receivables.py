"""The chart of receivables by age."""

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import Final

from django.utils.safestring import SafeString
from django.utils.translation import gettext, ngettext

from catalog.web.charts.svg import CARD, HAIR, LINE, PLUM, SOFT, TEXT, Drawing, sentences, share
from catalog.web.display import minor

_BAR: Final = 20
_GAP: Final = 14


@dataclass(frozen=True, slots=True)
class Age:
    """An age of debts in words ("not due yet", "1 to 30 days late"), what is owed and on how many documents."""

    label: str
    amount_minor: int
    documents: int = 0


def _documents(number: int) -> str:
    return ngettext("%(n)s document", "%(n)s documents", number) % {"n": number}


def _described(age: Age, currency: str) -> str:
    owed = {"age": age.label, "amount": minor(age.amount_minor, currency), "documents": _documents(age.documents)}
    return gettext("%(age)s: %(amount)s on %(documents)s") % owed


def receivables(ages: Sequence[Age], *, currency: str = "", title: str = "") -> SafeString:
    """Draw a bar for each age, all on one scale, in the order given."""
    drawing = Drawing(
        title or gettext("Balances due, by age"),
        sentences(_described(age, currency) for age in ages),
    )
    most = max((age.amount_minor for age in ages), default=0)
    top = 0
    for age in ages:
        words = gettext("%(age)s: %(amount)s") % {"age": age.label, "amount": minor(age.amount_minor, currency)}
        top += drawing.heading(words, top=top) + LINE + 4
        drawing.rect(0, 100, y=top, height=_BAR, fill=CARD, stroke=HAIR)
        drawing.rect(0, share(Fraction(age.amount_minor), most), y=top, height=_BAR, fill=PLUM)
        top += _BAR + _GAP
    if not ages:
        drawing.text(gettext("No balance is due."), 0, y=TEXT, fill=SOFT)
        top = 24
    drawing.height = top
    return drawing.svg()
