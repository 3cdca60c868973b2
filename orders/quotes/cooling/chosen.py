"""The choices with which the records of a quote's number were entered: a record itself stores their text."""

from collections.abc import Mapping
from typing import Any, Final

from orders.quotes.cooling.selectors import RuledTable
from orders.quotes.models import Quote
from orders.records.models import AuditEntry

#: The event of a quote's history: the owner recorded what is measured instead.
MEASURE_INSTEAD: Final = "measure_instead"
#: What is measured and by whom, as a record stores them -> the choices.
Chosen = Mapping[tuple[str, str], Mapping[str, Any]]


def chosen_of(found: RuledTable) -> Chosen:
    """Return the choices of the records of all revisions; one query where something is recorded."""
    if not found.overrides:
        return {}
    keys = Quote.objects.filter(number=found.quote.number).values("pk")
    entries = AuditEntry.objects.filter(document="quote", event=MEASURE_INSTEAD, document_pk__in=keys)
    return {
        (entry.note, entry.params["measured_by"]): entry.params["chosen"]
        for entry in entries
        if "chosen" in entry.params
    }
