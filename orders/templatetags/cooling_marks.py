"""The mark of a dessert that has to be measured, or was, for pages and sheets."""

from collections.abc import Iterable

from django import template
from django.utils.translation import gettext

from catalog.web import display
from orders.cooling_log.limit_presenters import late_limit_words, used_up_words
from orders.cooling_log.presenters import MarkShown, in_dessert, mark_shown
from orders.cooling_log.selectors import CoolingMark
from orders.production.batch_presenters import product_measured, product_verdict
from orders.production.hand_over import HandOverLine
from orders.production.limit_presenters import limits_words
from orders.quotes.cooling.presenters import guidance_words, slow_words
from orders.quotes.cooling.remark_presenters import minded_words
from orders.quotes.draft.cooling import OutFrom
from orders.quotes.draft.holding_words import hold_words, holding_words, unrepeated

register = template.Library()
register.filter("slow_words", slow_words)
register.filter("guidance_words", guidance_words)
register.filter("minded_words", minded_words)
register.filter("in_dessert", in_dessert)
register.filter("late_limit", late_limit_words)
register.filter("product_verdict", product_verdict)
register.filter("product_measured", product_measured)
register.filter("limits_of", limits_words)


@register.filter
def unkept_words(holds: Iterable[str]) -> str:
    """Write that nobody stated how a dessert is kept, and what in it asks for the cold."""
    words = gettext("How to keep it is not stated, and it holds %(holds)s. Keep it cold; ask before it leaves.")
    return words % {"holds": display.joined(holds)}


@register.simple_tag
def holding_texts(row: HandOverLine, begins: OutFrom) -> list[str]:
    """Write how a dessert is held, each thing once: as it was sent, and today's limit where that is shorter."""
    now = "" if row.cold is None else holding_words(row.cold, begins)
    if not now and row.hold_c is not None and row.line.out_minutes is None:
        now = hold_words(row.hold_c)
    used = "" if row.used_min is None else used_up_words(row.used_min)
    return [text for text in (unrepeated(row.line.holding, now, row.cold), now, used) if text]


@register.filter
def in_words(mark: CoolingMark) -> MarkShown:
    """Write a mark."""
    return mark_shown(mark)
