"""The mark of a dessert that has to be measured, or was, for pages and sheets."""

from django import template

from orders.cooling_log.presenters import MarkShown, mark_shown
from orders.cooling_log.selectors import CoolingMark

register = template.Library()


@register.filter
def in_words(mark: CoolingMark) -> MarkShown:
    """Write a mark."""
    return mark_shown(mark)
