"""Which time out of the cold the hand-over list goes by: what was sent, or what is stated today."""

import pytest

from catalog.cooling.selectors import ProductCold
from costing.chilling import TimeOutClause, TimeOutLimit
from orders.cooling_log.limits import with_limit
from orders.documents.content import Line

#: Minutes sent, until warm, less than that; minutes today; what the sheet goes by.
CASES = [
    (None, False, False, 120, (120, False)),
    (25, True, False, 120, (120, False)),
    (240, False, False, 120, (120, False)),
    (120, False, False, 240, (120, False)),
    (240, False, True, 240, (240, True)),
    (120, False, False, None, (120, False)),
    (25, True, False, None, (25, False)),
]


@pytest.mark.parametrize(("sent", "until_warm", "under", "today", "expected"), CASES)
def test_the_shorter_of_both_counts_and_a_stated_one_replaces_an_estimate(
    sent: int | None, *, until_warm: bool, under: bool, today: int | None, expected: tuple[int, bool]
) -> None:
    line = Line("tart", "Tart", "", 1, 1, 0, 0, (), "", "t", sent, until_warm, under)
    out = None if today is None else TimeOutLimit(today, TimeOutClause(today, None, "our plan", kind="house"))
    found = with_limit(line, None if out is None else ProductCold(out=out))
    assert (found.out_minutes, found.out_under) == expected
    assert found.until_warm == (until_warm and today is None)
