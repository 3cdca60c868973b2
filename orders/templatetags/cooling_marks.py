"""The mark of a dessert that has to be measured, or was, for pages and sheets."""

from django import template

from catalog.cooling.selectors import ProductCold
from orders.cooling_log.limit_presenters import late_limit_words
from orders.cooling_log.presenters import MarkShown, mark_shown
from orders.cooling_log.selectors import CoolingMark
from orders.quotes.cooling.presenters import untimed_words
from orders.quotes.draft.cooling import OutFrom
from orders.quotes.draft.holding_words import holding_words

register = template.Library()
register.filter("untimed_words", untimed_words)
register.filter("late_limit", late_limit_words)


@register.filter
def limit_today(cold: ProductCold, out_from: OutFrom) -> str:
    """Write how a dessert is held by the limit in force today."""
    return holding_words(cold, out_from)


@register.filter
def in_words(mark: CoolingMark) -> MarkShown:
    """Write a mark."""
    return mark_shown(mark)
