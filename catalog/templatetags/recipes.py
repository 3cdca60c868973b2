"""Filters of the pages of recipes and products: amounts of lines, temperatures and hours."""

from decimal import Decimal
from fractions import Fraction

from django import template

from catalog.recipes.presenters import line_problem
from catalog.records.presenters import perishables_words
from catalog.web.display import current, duration, mass
from catalog.web.display.figures import in_locale
from catalog.web.display.measures import measure_text
from catalog.web.measure_fields import degrees_shown
from catalog.web.one_line import on_one_line
from costing.measures.measure import MeasureError, parse_measure
from costing.measures.numbers import number_text

register = template.Library()

register.filter("line_problem", line_problem)
register.filter("perishables", perishables_words)


@register.filter(needs_autoescape=True)
@on_one_line
def line_amount(stored: str) -> str:
    """Write the amount of a line, whose ingredient stands beside it: ``1 1/2 cup`` is 1 ½ cups, ``3 each`` is 3."""
    try:
        return measure_text(parse_measure(stored))
    except MeasureError:
        return stored


@register.filter(needs_autoescape=True)
@on_one_line
def degrees(celsius: Decimal | Fraction | None) -> str:
    """Write a temperature kept in °C in the kitchen's degrees: 350 °F."""
    if celsius is None:
        return ""
    scale = current().degrees
    return f"{in_locale(degrees_shown(Decimal(number_text(celsius)), scale))} °{scale}".replace("-", "−")


@register.filter(needs_autoescape=True)
@on_one_line
def kilograms(value: Decimal | None) -> str:
    """Write kilograms in the kitchen's measures: 10 lb, or 4.5 kg."""
    return "" if value is None else mass(value * 1000)


@register.filter(needs_autoescape=True)
@on_one_line
def hours(value: Decimal | None) -> str:
    """Write hours as people say them: 72 is 3 days."""
    return "" if value is None else duration(value * 60)
