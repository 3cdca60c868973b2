"""What is measured where a batch breaks the cooling rule only together with promised orders, before a quote goes."""

from collections.abc import Sequence
from typing import Any

from catalog.web import display
from orders.quotes.cooling.measuring_content import strictest
from orders.quotes.cooling.measuring_forms import MeasuringForm
from orders.quotes.cooling.shared import SharedBatch


def together_form(data: Any, shared: Sequence[SharedBatch]) -> MeasuringForm:
    """Return the form for some batches; ``data`` is what was sent, or None. It may stay empty while that is open."""
    names = display.listed(one.name for one in shared)
    limits = strictest(one.legs for one in shared)
    return MeasuringForm(data, name=names, limits=limits, prefix="together", optional=True)
