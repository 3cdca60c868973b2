"""The forms of what is measured instead of a cooling rule: one for each item of a quote that breaks it."""

from collections.abc import Iterator, Sequence
from typing import Any

from django.http import QueryDict

from catalog.web import display
from orders.quotes.cooling.chosen import chosen_of
from orders.quotes.cooling.measuring_content import strictest
from orders.quotes.cooling.measuring_forms import MeasuringForm, initial_of
from orders.quotes.cooling.reading_times import limits_read
from orders.quotes.cooling.selectors import RuledTable
from orders.quotes.cooling.services import OverrideData
from orders.quotes.cooling.shared import SharedBatch


class OverrideForms:
    """The forms of all items that break the rule, with what is recorded; what counts already may stay."""

    def __init__(self, found: RuledTable, data: QueryDict | None) -> None:
        limits, chosen = limits_read(found), chosen_of(found)
        self.forms = {
            str(one.item): MeasuringForm(
                data,
                name=one.name,
                limits=limits[one.item],
                prefix=str(one.item),
                optional=found.standing(one) is not None,
                initial=initial_of(found.override(one), chosen),
            )
            for one in found.broken
        }
        self._items = {str(one.item): one.item for one in found.broken}

    def __iter__(self) -> Iterator[MeasuringForm]:
        return iter(self.forms.values())

    def is_valid(self) -> bool:
        """Whether all are filled in; each is asked, so that every error is shown at once."""
        checked = [form.is_valid() for form in self]
        return all(checked)

    def overrides(self) -> list[OverrideData]:
        """Return what was entered; call it on forms without errors."""
        entered = ((self._items[key], form.measuring()) for key, form in self.forms.items())
        return [OverrideData(item, measuring) for item, measuring in entered if measuring is not None]


def together_form(data: Any, shared: Sequence[SharedBatch]) -> MeasuringForm:
    """Return the form for some batches; ``data`` is what was sent, or None. What is recorded for all may stay."""
    names = display.listed(one.name for one in shared)
    limits = strictest(one.legs for one in shared)
    recorded = all(one.given is not None for one in shared)
    return MeasuringForm(data, name=names, limits=limits, prefix="together", optional=recorded)
