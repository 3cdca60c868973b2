"""Figures of the computation's explanations, rounded for display; other text is unchanged."""

from decimal import Decimal, InvalidOperation

from django import template

from catalog.web import display

register = template.Library()


@register.filter
def figure(text: str) -> str:
    """Write a figure of an explanation with at most three decimals, small ones with six; other text as it is."""
    try:
        value = Decimal(text)
    except InvalidOperation:
        return text
    return display.plain(value, 3 if abs(value) >= 1 else 6) if value.is_finite() else text
