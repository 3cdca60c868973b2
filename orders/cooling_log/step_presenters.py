"""Steps that nobody has said are cold, as marks."""

from collections.abc import Iterable, Mapping

from django.utils.translation import gettext

from catalog.cooling.never_hot_claims import NeverHotClaim
from catalog.web import display
from orders.cooling_log.presenters import MarkShown
from orders.orders.models import Order
from orders.quotes.cooling.never_hot import OpenSteps
from orders.quotes.cooling.step_presenters import step_sentence


def step_marks(orders: Iterable[Order], found: Mapping[int, OpenSteps]) -> list[MarkShown]:
    """Write the open steps of orders, each once for all of them."""
    numbers: dict[tuple[NeverHotClaim, str], list[str]] = {}
    for order in orders:
        for step in found.get(order.pk, ()):
            numbers.setdefault(step, []).append(order.number)
    return [_mark(claim, step, display.joined(each)) for (claim, step), each in numbers.items()]


def _mark(claim: NeverHotClaim, step: str, numbers: str) -> MarkShown:
    brief = gettext("Nobody has said whether “%(step)s” is cold") % {"step": step}
    return MarkShown("stop", claim.name, step_sentence(step), order_number=numbers, brief=brief)
