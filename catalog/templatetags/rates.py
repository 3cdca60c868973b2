"""Filters of the pages of rates and taxes."""

from decimal import Decimal

from django import template

from catalog.web import display

register = template.Library()


@register.filter
def rate(share: Decimal | None) -> str:
    """Write a tax rate with all its decimals: 0.0825 is 8.25%, never 8.3%."""
    return display.rate(share, 12)
