"""The statement that a customer agrees to."""

from django.utils.translation import gettext, ngettext

from catalog.web import display
from orders.documents.content import QuoteContent
from orders.quotes.terms.selectors import deposit_at_once, deposit_by


def statement_of(content: QuoteContent, *, chosen: bool = False) -> str:
    """Write the statement the customer agrees to; of a time that is ``chosen`` among several it has the hours too."""
    event = content.event
    day = display.window(event.window_start, event.window_end) if chosen else display.day(event.window_start)
    total = display.minor(content.total_minor, content.currency)
    values = {
        "number": content.number,
        "revision": content.revision,
        "kitchen": content.kitchen.name,
        "day": day,
        "total": total,
        "deposit": _deposit_words(content) + _payment_words(content),
    }
    if content.amends is not None:
        was = display.minor(content.amends.total_minor, content.currency)
        return gettext(
            "I approve this change of order %(order)s, quote %(number)s, revision %(revision)s, from %(kitchen)s for "
            "%(day)s, and commit to pay a total of %(total)s instead of %(was)s. I have read its allergen information "
            "and its terms, and I am authorized to change this order."
        ) % (values | {"order": content.amends.order, "was": was})
    return (
        gettext(
            "I approve quote %(number)s, revision %(revision)s, from %(kitchen)s for %(day)s, and commit to pay a "
            "total of %(total)s%(deposit)s. I have read its allergen information and its terms, and I am authorized "
            "to place this order."
        )
        % values
    )


def _payment_words(content: QuoteContent) -> str:
    """Name the payments before the event, as one amount; their days stand in the terms."""
    if not content.payments_before:
        return ""
    amount = sum(one.amount_minor for one in content.payments_before)
    words = gettext(", of which %(amount)s is due before the event by its terms")
    if content.deposit_minor:
        words = gettext(", and %(amount)s is due before the event by its terms")
    return words % {"amount": display.minor(amount, content.currency)}


def _deposit_words(content: QuoteContent) -> str:
    if not content.deposit_minor:
        return ""
    amount = display.minor(content.deposit_minor, content.currency)
    if deposit_at_once(content):
        return gettext(", of which %(amount)s is a deposit due at once") % {"amount": amount}
    if content.deposit_latest_on:
        day = display.day(content.deposit_latest_on)
        if deposit_by(content):
            return gettext(", of which %(amount)s is a deposit due by %(day)s") % {"amount": amount, "day": day}
        latest = ngettext(
            ", of which %(amount)s is a deposit due within %(count)s day, at the latest on %(day)s",
            ", of which %(amount)s is a deposit due within %(count)s days, at the latest on %(day)s",
            content.deposit_days,
        )
        return latest % {"amount": amount, "count": content.deposit_days, "day": day}
    return ngettext(
        ", of which %(amount)s is a deposit due within %(count)s day",
        ", of which %(amount)s is a deposit due within %(count)s days",
        content.deposit_days,
    ) % {"amount": amount, "count": content.deposit_days}
