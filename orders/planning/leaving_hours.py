"""When something may be handed over, by the stated hours."""

from datetime import time, timedelta

from costing.timing.chains import hand_over_hours, working_hours
from orders.inquiries.models import Inquiry
from orders.planning.problem import KitchenProblem
from orders.planning.promise import Leaving

#: Where no hours are stated, windows are proposed between these.
DAY_BEGINS, DAY_ENDS = time(7), time(22)


def may_leave(kitchen: KitchenProblem, inquiry: Inquiry, window: Leaving) -> bool:
    """Return whether something may be handed over then: in the stated hours, else while somebody works, else by day.

    What is picked up may be until the end of as long a window; of what is delivered the leaving counts.
    """
    zone, collected = kitchen.days.clock.zone, inquiry.hand_over == Inquiry.HandOver.PICKUP
    until = window[0] + (inquiry.window_end - inquiry.window_start if collected else timedelta(0))
    begin, end = window[0].astimezone(zone), until.astimezone(zone)
    hours = hand_over_hours(kitchen.book) or working_hours(kitchen.book)
    spans = [(DAY_BEGINS, DAY_ENDS)] if hours is None else hours.of_day(begin.date())
    return begin.date() == end.date() and any(opens <= begin.time() and end.time() <= closes for opens, closes in spans)
