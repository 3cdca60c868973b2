"""What the owner recorded about cooling and counts no more, in words: on pages and in histories."""

from collections.abc import Iterable, Mapping, Sequence
from datetime import datetime
from typing import Any, Final

from django.utils.translation import gettext
from django.utils.translation import gettext_noop as marked

from catalog.records.people import names_of_people
from catalog.web import display

#: The event of a history that says what was put out of force, and by what.
REASON_VOID: Final = "reason_void"
#: What put it out of force -> its sentence.
VOID_BY: Final = {
    "orders": marked(
        "The reason “%(reason)s” (%(who)s, %(moment)s) no longer counts: other orders share the batch now."
    ),
    "amount": marked(
        "The reason “%(reason)s” (%(who)s, %(moment)s) no longer counts: the amount of the batch changed."
    ),
    "steps": marked(
        "The reason “%(reason)s” (%(who)s, %(moment)s) no longer counts: its steps or its cooling changed."
    ),
    "measure": marked(
        "What is measured instead, “%(reason)s” (%(who)s, %(moment)s), no longer counts: its steps, its amount or its "
        "cooling changed."
    ),
}
_OF_ORDERS: Final = marked(
    "The reason “%(reason)s” (%(who)s, %(moment)s) was for one batch for %(orders)s and no longer counts: other orders "
    "share the batch now."
)


def void_words(by: str, reason: str, user: str, at: datetime, numbers: Sequence[str] = ()) -> str:
    """Write that something recorded by ``user`` counts no more; ``by`` is what put it out of force (``VOID_BY``)."""
    words = {"reason": reason.rstrip("."), "who": who_words(user), "moment": display.moment(at)}
    if by == "orders" and numbers:
        return gettext(_OF_ORDERS) % (words | {"orders": display.joined(numbers)})
    return gettext(VOID_BY[by]) % words


def void_note(items: Iterable[Mapping[str, Any]]) -> str:
    """Write for a history what was put out of force, and by what."""
    return " ".join(
        f"{item['name']}: "
        + void_words(item["cause"], item["reason"], item["by"], datetime.fromisoformat(item["at"]), item["numbers"])
        for item in items
    )


def who_words(user: str) -> str:
    """Return the name of somebody by the name of their log-in."""
    return names_of_people().get(user, user)
