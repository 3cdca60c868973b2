"""When reminders go out: a table made by hand, with the leap day, both clock changes and the turn of a year."""

from datetime import UTC, date, datetime
from zoneinfo import ZoneInfo

import pytest

from orders.reminders.moments import HOURS, moment_of

NEW_YORK, BERLIN = ZoneInfo("America/New_York"), ZoneInfo("Europe/Berlin")


@pytest.mark.parametrize(
    ("day", "days", "late", "hour", "zone", "moment"),
    [
        # Three days before March 2, 2028: that year has a February 29.
        (date(2028, 3, 2), 3, False, 9, NEW_YORK, datetime(2028, 2, 28, 14, tzinfo=UTC)),
        (date(2027, 3, 2), 3, False, 9, NEW_YORK, datetime(2027, 2, 27, 14, tzinfo=UTC)),
        (date(2028, 2, 28), 1, True, 9, NEW_YORK, datetime(2028, 2, 29, 14, tzinfo=UTC)),
        # The clocks of New York go forward on March 14, 2027, and back on November 7, 2027.
        (date(2027, 3, 13), 1, True, 9, NEW_YORK, datetime(2027, 3, 14, 13, tzinfo=UTC)),
        (date(2027, 3, 13), 0, False, 9, NEW_YORK, datetime(2027, 3, 13, 14, tzinfo=UTC)),
        (date(2027, 11, 8), 1, False, 9, NEW_YORK, datetime(2027, 11, 7, 14, tzinfo=UTC)),
        (date(2027, 11, 8), 2, False, 9, NEW_YORK, datetime(2027, 11, 6, 13, tzinfo=UTC)),
        # Those of Berlin on March 28 and October 31, 2027.
        (date(2027, 3, 30), 2, False, 6, BERLIN, datetime(2027, 3, 28, 4, tzinfo=UTC)),
        (date(2027, 10, 31), 0, False, 21, BERLIN, datetime(2027, 10, 31, 20, tzinfo=UTC)),
        (date(2028, 1, 2), 3, False, 9, BERLIN, datetime(2027, 12, 30, 8, tzinfo=UTC)),
    ],
)
def test_a_reminder_goes_out_at_its_hour_of_the_kitchens_clock(
    day: date, days: int, late: bool, hour: int, zone: ZoneInfo, moment: datetime
) -> None:
    assert moment_of(day, days=days, late=late, hour=hour, zone=zone) == moment


def test_no_hour_is_one_that_a_clock_change_takes_away_or_repeats() -> None:
    for day in (date(2027, 3, 14), date(2027, 11, 7)):
        for hour in HOURS:
            moment = moment_of(day, days=0, late=False, hour=hour, zone=NEW_YORK).astimezone(NEW_YORK)
            assert (moment.date(), moment.hour) == (day, hour)
            assert moment.utcoffset() == moment.replace(fold=1).utcoffset()
