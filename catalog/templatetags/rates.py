"""Filters of the pages of rates and taxes."""

from decimal import Decimal

from django import template

from catalog.web.display import plain

register = template.Library()


@register.filter
def rate(share: Decimal | None) -> str:
    """Write a tax rate with all its decimals: 0.0825 is 8.25 %, never 8.3 %."""
    return "" if share is None else f"{plain(share * 100, 12)} %"
