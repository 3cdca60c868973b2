"""Derivations of figures for people: the computation's formula in a sentence, and its inputs in the kitchen's measures.

The figures are the computation's own; only what they are called and the units they are written in differ.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal, InvalidOperation
from fractions import Fraction
from typing import Final

from django.utils.translation import gettext

from catalog.web import display
from catalog.web.derivation_words import FORMULAS, INPUTS, PRICE_PER_G, RATE_PER_KM, SHARES, TAX_FACTOR, UNTAXED
from catalog.web.display.figures import GRAMS_PER_POUND
from catalog.web.display.measures import KM_PER_MILE
from costing.contract import Explanation
from costing.contract.explanations import Input
from costing.money.currencies import MINOR_DIGITS

#: How the computation names a share of something: share of yolks.
_SHARE, _OF = "share", " of "


@dataclass(frozen=True, slots=True)
class Derivation:
    """How a figure came about: a sentence, and the inputs as (name, figure), both written for a person."""

    sentence: str
    inputs: tuple[tuple[str, str], ...] = ()


def derivation(how: Explanation | None, names: Mapping[str, str] | None = None) -> Derivation | None:
    """Write an explanation of the computation; ``names`` are what codes in it (of products, rules, taxes) stand for."""
    if how is None:
        return None
    untaxed = any(one.name == TAX_FACTOR and one.value == "1" for one in how.inputs)
    words = (UNTAXED if untaxed else FORMULAS).get(how.formula) or FORMULAS.get(how.formula, how.formula)
    return Derivation(
        gettext(words),
        tuple(
            (_name(one, names or {}), _figure(one, names or {}))
            for one in how.inputs
            if not (untaxed and one.name == TAX_FACTOR)
        ),
    )


def _name(one: Input, names: Mapping[str, str]) -> str:
    if one.name in (RATE_PER_KM, PRICE_PER_G):
        return _per(one.name)
    if one.name in INPUTS:
        return gettext(INPUTS[one.name])
    kind, _, name = one.name.partition(_OF)
    if kind == _SHARE:
        # A share with a unit is one of the labor for a recipe; without, a part of an ingredient.
        share = gettext("Share of the labor for %(name)s") if one.unit else gettext("Share of %(name)s")
        return share % {"name": names.get(name, name)}
    return names.get(one.name, one.name)


def _per(name: str) -> str:
    if name == PRICE_PER_G:
        return gettext("Price per %(unit)s") % {"unit": display.mass_unit()}
    return gettext("Cost per mile") if display.current().distance == "mi" else gettext("Cost per kilometer")


def _figure(one: Input, names: Mapping[str, str]) -> str:
    value = _number(one.value)
    if value is None:
        return names.get(one.value, one.value)
    if one.unit in MINOR_DIGITS:
        return display.fine(_per_measure(one.name, value), one.unit)
    if one.unit in _MEASURES:
        return _MEASURES[one.unit](value)
    if one.name in SHARES or one.name.partition(_OF)[0] == _SHARE:
        return display.rate(value)
    return f"{_plain(value)} {one.unit}".rstrip()


def _number(text: str) -> Fraction | None:
    """Read a figure of an explanation; None for words."""
    try:
        value = Decimal(text)
    except InvalidOperation:
        return None
    return Fraction(value) if value.is_finite() else None


def _plain(value: Fraction) -> str:
    return display.plain(value, 3 if abs(value) >= 1 else 6)


def _per_measure(name: str, value: Fraction) -> Fraction:
    """Return a price of a gram or a kilometer as that of the kitchen's measure, which the name says."""
    if name == PRICE_PER_G:
        return value * (GRAMS_PER_POUND if display.mass_unit() == "lb" else 1000)
    if name == RATE_PER_KM and display.current().distance == "mi":
        return value * Fraction(KM_PER_MILE)
    return value


def _mass(grams: Fraction) -> str:
    if display.mass_unit() == "lb":
        return f"{_plain(grams / GRAMS_PER_POUND)} lb"
    return f"{_plain(grams)} g"


def _distance(km: Fraction) -> str:
    miles = display.current().distance == "mi"
    return f"{_plain(km / Fraction(KM_PER_MILE) if miles else km)} {'mi' if miles else 'km'}"


def _minutes(minutes: Fraction) -> str:
    return f"{_plain(minutes)} min"


_MEASURES: Final = {"g": _mass, "km": _distance, "min": _minutes}
