"""Windows are offered by day, also across a change of the clocks."""

from datetime import datetime, timedelta
from zoneinfo import ZoneInfo

import pytest

from orders.quotes.draft.windows import DAY_BEGINS, DAY_ENDS, _daytime

pytestmark = pytest.mark.django_db


def test_windows_are_offered_by_day_also_across_a_clock_change() -> None:
    zone = ZoneInfo("America/New_York")
    hours = _daytime(datetime(2027, 3, 14, 16, tzinfo=zone), zone)
    for days in range(-20, 20):
        noon = datetime(2027, 3, 14, 12, tzinfo=zone) + timedelta(days=days)
        assert int(noon.timestamp() // 60) in hours
        night = noon.replace(hour=2, fold=1)
        assert int(night.timestamp() // 60) not in hours
    assert DAY_BEGINS < DAY_ENDS
