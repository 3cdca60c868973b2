"""Batches that a quote shares with promised orders, and reasons that count no more, in words."""

from collections.abc import Iterable
from dataclasses import dataclass

from django.urls import reverse
from django.utils.translation import gettext

from catalog.web import display
from orders.quotes.cooling.shared import SharedBatch, Void
from orders.quotes.void_words import void_words, who_words


@dataclass(frozen=True, slots=True)
class SharedShown:
    """A batch in words: what it breaks, the reason that counts or no longer counts, and the orders with their pages."""

    name: str
    sentence: str
    given: str
    void: str
    orders: tuple[tuple[str, str], ...]


def shared_shown(found: Iterable[SharedBatch]) -> tuple[SharedShown, ...]:
    """Write what breaks the rule only together with promised orders."""
    return tuple(
        SharedShown(
            name=one.name,
            sentence=_sentence(one),
            given=_given(one),
            void="" if one.void is None else void_sentence(one.void),
            orders=tuple(
                (f"{each.number} {each.title}".strip(), reverse("order", args=[each.pk])) for each in one.orders
            ),
        )
        for one in found
    )


def _sentence(one: SharedBatch) -> str:
    words = {"name": one.name, "orders": display.joined([order.number for order in one.orders]), "count": one.batches}
    if one.alone:
        text = gettext(
            "%(name)s: as one batch with %(orders)s it has another size and is not cold in time. What is measured of"
            " this order’s own amount says nothing of that: enter how the common batch is measured."
        )
    elif one.batches is None:
        text = gettext("%(name)s: not cold in time when made as one batch with %(orders)s. Alone it is.")
    else:
        text = gettext(
            "%(name)s: not cold in time when made as one batch with %(orders)s. Alone, or in %(count)s batches, it is."
        )
    return text % words


def _given(one: SharedBatch) -> str:
    if one.given is None:
        return ""
    words = {"reason": one.given.reason, "who": who_words(one.given.by), "moment": display.moment(one.given.at)}
    return gettext("Recorded for it: “%(reason)s” (%(who)s, %(moment)s).") % words


def void_sentence(void: Void) -> str:
    """Write that a reason counts no more, and by what."""
    return void_words(void.by, void.given.reason, void.given.by, void.given.at, void.numbers)
