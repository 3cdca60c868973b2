"""The owner's reasons why what breaks the rule only as one batch for several orders is made so, from the histories."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Final

from orders.records.models import AuditEntry

#: The event of an order's history: the owner said why a common batch is made all the same, and how it is measured.
REASON_GIVEN: Final = "made_together"


@dataclass(frozen=True, slots=True)
class Given:
    """A reason, and the user name of whoever gave it."""

    reason: str
    by: str


#: Key of a recipe and of the orders it is made for at once -> the latest reason.
Reasons = Mapping[tuple[int, frozenset[int]], Given]


def reasons_given(orders: Iterable[int]) -> Reasons:
    """Return the reasons that the histories of some orders have, by batch and orders; one query."""
    entries = AuditEntry.objects.filter(document="order", document_pk__in=set(orders), event=REASON_GIVEN)
    return {
        (row["pk"], frozenset(row["orders"])): Given(entry.note, entry.by)
        for entry in entries.order_by("pk")
        for row in entry.params["items"]
    }
