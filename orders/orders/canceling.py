"""What canceling an order means today by the table of its terms: the row that applies, what is retained and goes back.

Days are dates of the kitchen's calendar, whatever the clocks do between them.
"""

from dataclasses import dataclass
from datetime import date, datetime

from catalog.kitchen.cancellation import RetainedRow, row_on
from catalog.kitchen.selectors import local_day
from catalog.records.versions import version_mark
from orders.documents.agreed import content_agreed
from orders.invoices.order_money import order_money
from orders.orders.models import Order
from orders.quotes.terms.retained import RetainedSpan, days_before, retained_minor, retained_spans


@dataclass(frozen=True, slots=True)
class Canceling:
    """The terms of an order on a day, and its money in whole minor units.

    ``row`` is None before the first one, where nothing is retained; ``days_before`` is below zero after the event.
    """

    rows: tuple[RetainedRow, ...]
    event: date
    today: date
    row: RetainedRow | None
    total_minor: int
    most_minor: int
    received_minor: int
    content_sha256: str

    @property
    def days_before(self) -> int:
        """How many days the event is away."""
        return days_before(self.event, self.today)

    @property
    def mark(self) -> str:
        """A digest of what somebody decides by, so that nobody cancels by what is no longer so."""
        row = None if self.row is None else (self.row.days, str(self.row.share))
        return version_mark([self.content_sha256, row, self.most_minor, self.received_minor])

    @property
    def spans(self) -> list[RetainedSpan]:
        """The table as dates, from the day on that it is about."""
        return retained_spans(self.rows, event=self.event, today=self.today, total_minor=self.total_minor)

    def back(self, retained: int) -> int:
        """Return what of the payments goes back if so much is retained; whole minor units."""
        return max(0, self.received_minor - retained)

    def owed(self, retained: int) -> int:
        """Return what is still to pay if so much is retained; whole minor units."""
        return max(0, retained - self.received_minor)


def canceling(order: Order, *, at: datetime) -> Canceling | None:
    """Return what canceling an order at a moment means by its terms; None where what was agreed has no table."""
    rows = content_agreed(order.quote).cancellation_table
    if not rows:
        return None
    event, today = local_day(order.window_start), local_day(at)
    row = row_on(rows, days_before(event, today))
    return Canceling(
        rows=rows,
        event=event,
        today=today,
        row=row,
        total_minor=order.total_minor,
        most_minor=retained_minor(order.total_minor, row),
        received_minor=order_money(order).received,
        content_sha256=order.quote.content_sha256,
    )
