"""Which orders to come an edit of a recipe or product makes unsafe, in words."""

from typing import Final

from django.utils.translation import gettext, ngettext

from catalog.web import display
from orders.cooling_log.unsafe import numbers_unsafe

#: Most orders that a sentence names.
_NAMED: Final = 5


def unsafe_words(kind: str, code: str) -> str:
    """Write which orders to come a recipe or product makes unsafe as it is now; empty where it makes none so."""
    numbers = numbers_unsafe(kind, code)
    if not numbers:
        return ""
    more = len(numbers) - _NAMED
    shown = [*numbers[:_NAMED], *([gettext("%(n)s more") % {"n": more}] if more > 0 else [])]
    text = ngettext(
        "As it is now, cooling is not settled for order %(orders)s. Settle it before it is made.",
        "As it is now, cooling is not settled for orders %(orders)s. Settle it before they are made.",
        len(numbers),
    )
    return text % {"orders": display.joined(shown)}
