"""Which of the windows that a sent quote offers still work, for its page.

By insertion alone, and remembered for as long as the plan and what is promised are the same: an approval looks further.
"""

from collections import OrderedDict
from collections.abc import Sequence
from datetime import datetime
from threading import Lock
from typing import Final

from costing.plan.verdicts import AS_PLANNED, BY_REARRANGING, IMPOSSIBLE, UNDECIDED
from orders.documents.agreed import at_window
from orders.documents.content import QuoteContent
from orders.planning.problem import leaving
from orders.planning.reserved import day_is_reserved, plan_row
from orders.planning.slots import rests_on, windows_still_work
from orders.quotes.models import Quote

#: A window works, it is taken, it is over, or it is to be checked when it is chosen.
WORKS: Final = "works"
TAKEN: Final = "taken"
OVER: Final = "over"
CHECK: Final = "check"
_STATES: Final = {AS_PLANNED: WORKS, BY_REARRANGING: WORKS, UNDECIDED: CHECK, IMPOSSIBLE: TAKEN}

#: What can still be begun changes with time: after so many minutes it is computed anew.
_MINUTES: Final = 10
_MOST: Final = 256
_known: OrderedDict[tuple[int, str, int], tuple[str, ...]] = OrderedDict()
_lock: Final = Lock()


def windows_state(quote: Quote, content: QuoteContent, at: datetime) -> tuple[str, ...]:
    """Return the state of each window of a sent quote's content, by its number: the one asked for first.

    Nothing is computed where it offers none besides.
    """
    if not content.offered:
        return (WORKS,)
    windows = [at_window(content, number).event for number in range(len(content.offered) + 1)]
    row = plan_row()
    key = (quote.pk, rests_on(row, quote, at), int(at.timestamp()) // (60 * _MINUTES))
    with _lock:
        found = _known.get(key)
    if found is None:
        found = _computed(quote, [one.window_start for one in windows], at)
        with _lock:
            _known[key] = found
            while len(_known) > _MOST:
                _known.popitem(last=False)
    states = [OVER if one.window_start <= at else state for one, state in zip(windows, found, strict=True)]
    if states[0] == CHECK and day_is_reserved(quote, at):
        states[0] = WORKS
    return tuple(states)


def _computed(quote: Quote, begins: Sequence[datetime], at: datetime) -> tuple[str, ...]:
    verdicts = windows_still_work(quote, [leaving(begin, quote.inquiry) for begin in begins], at=at)
    return (WORKS,) * len(begins) if verdicts is None else tuple(_STATES[one] for one in verdicts)
