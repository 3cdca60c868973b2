"""Dates of terms against tables made by hand: each row says how its days were counted on a calendar.

The kitchen's usual terms are valid for 14 days, final count 10 days before the event, deposit 7 days after approval.
"""

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from orders.quotes.terms.dates import Ahead, Contradiction, Stated, Term, Usual, compute_dates, deposit_due

NEW_YORK, BERLIN = ZoneInfo("America/New_York"), ZoneInfo("Europe/Berlin")
USUAL = Usual(valid_days=14, final_count_days=10, deposit_days=7)


def ny(text: str) -> datetime:
    """Return a moment by the clocks of New York; a ``*`` after it is the second time that they show it."""
    return datetime.fromisoformat(text.rstrip("*")).replace(tzinfo=NEW_YORK, fold=text.endswith("*"))


@pytest.mark.parametrize(
    ("now", "event", "begins", "until", "count", "deposit"),
    [
        # A month away: January 6 + 14 = 20; February 6 - 10 = January 27; 20 + 7 = 27 is before the work on February 5.
        ("2027-01-06T09:00", "2027-02-06T15:30", "2027-02-05T08:00", "2027-01-20T23:59-05:00", "2027-01-27", None),
        # 20 days: 26 - 10 = 16; 6 + 14 = 20 would be after it; 16 + 7 = 23, the last day before the event is 25.
        ("2027-01-06T09:00", "2027-01-26T15:30", None, "2027-01-16T23:59-05:00", "2027-01-16", None),
        # The same with work from the 22nd: 23 is after the last day before it, the 21st.
        ("2027-01-06T09:00", "2027-01-26T15:30", "2027-01-22T08:00", "2027-01-16T23:59-05:00", "2027-01-16", "01-21"),
        # 9 days: 15 - 10 = 5 is over, so three days to decide: 9. 9 + 7 = 16 is after 12, the day before the work.
        ("2027-01-06T09:00", "2027-01-15T15:30", "2027-01-13T08:00", "2027-01-09T23:59-05:00", "2027-01-09", "01-12"),
        # 9 days of which the work takes seven: the day before it begins is the 7th, sooner than three days.
        ("2027-01-06T09:00", "2027-01-15T15:30", "2027-01-08T08:00", "2027-01-07T23:59-05:00", "2027-01-07", "01-07"),
        # Work begins eleven days before: 26 - 10 = 16 is after it, so the day before, 26 - 12 = 14.
        ("2027-01-06T09:00", "2027-01-26T15:30", "2027-01-15T08:00", "2027-01-14T23:59-05:00", "2027-01-14", "01-14"),
        # Tomorrow, and work begins tomorrow: all of it today.
        ("2027-01-06T09:00", "2027-01-07T15:30", "2027-01-07T07:00", "2027-01-06T23:59-05:00", "2027-01-06", "01-06"),
        # Tomorrow, and work begins this afternoon: until then.
        ("2027-01-06T09:00", "2027-01-07T15:30", "2027-01-06T14:00", "2027-01-06T14:00-05:00", "2027-01-06", "01-06"),
        # Today: until the event, or until the work begins.
        ("2027-01-06T09:00", "2027-01-06T18:00", None, "2027-01-06T18:00-05:00", "2027-01-06", "01-06"),
        ("2027-01-06T09:00", "2027-01-06T18:00", "2027-01-06T11:30", "2027-01-06T11:30-05:00", "2027-01-06", "01-06"),
        # Over: today, and nothing is in order; whoever sends it is refused for the event.
        ("2027-01-06T09:00", "2027-01-05T18:00", None, "2027-01-06T23:59-05:00", "2027-01-06", "01-06"),
        # A leap year: February 18 + 14 days is March 3 (11 to the 29th, 3 more); March 11 - 10 = March 1.
        ("2028-02-18T09:00", "2028-03-11T15:30", None, "2028-03-01T23:59-05:00", "2028-03-01", None),
        # Final count on the leap day: March 10 - 10 = February 29. February 15 + 14 = February 29.
        ("2028-02-15T09:00", "2028-03-10T15:30", None, "2028-02-29T23:59-05:00", "2028-02-29", None),
        # The same days of a common year: March 10 - 10 = February 28; February 15 + 14 = March 1, after it.
        ("2027-02-15T09:00", "2027-03-10T15:30", None, "2027-02-28T23:59-05:00", "2027-02-28", None),
        # An event on the leap day: 29 - 10 = 19; 1 + 14 = 15; 15 + 7 = 22.
        ("2028-02-01T09:00", "2028-02-29T12:00", "2028-02-28T08:00", "2028-02-15T23:59-05:00", "2028-02-19", None),
        # Summer time begins on March 14, 2027: February 28 + 14 is that day, whose end is in summer time, UTC-4.
        ("2027-02-28T09:00", "2027-04-10T15:30", None, "2027-03-14T23:59-04:00", "2027-03-31", None),
        # An event on that day, 9 days away although an hour is missing: 5 + 3 = 8; work from the 13th, so 12.
        ("2027-03-05T16:00", "2027-03-14T15:00", "2027-03-13T10:00", "2027-03-08T23:59-05:00", "2027-03-08", "03-12"),
        # Summer time ends on November 7, 2027: October 24 + 14 is that day, whose end is in winter time, UTC-5.
        ("2027-10-24T09:00", "2027-12-04T15:30", None, "2027-11-07T23:59-05:00", "2027-11-24", None),
        # On that night clocks show 1:10 again at 6:10 UTC, 40 minutes after they first showed 1:30.
        ("2027-11-07T01:30", "2027-11-07T01:10*", None, "2027-11-07T06:10+00:00", "2027-11-07", "11-07"),
        # Over a change of the year: December 28 + 14 = January 11; January 22 - 10 = 12; 11 + 7 = 18.
        ("2027-12-28T09:00", "2028-01-22T15:30", None, "2028-01-11T23:59-05:00", "2028-01-12", None),
    ],
)
def test_usual_dates_fit_the_event(
    now: str, event: str, begins: str | None, until: str, count: str, deposit: str | None
) -> None:
    ahead = Ahead(ny(now), ny(event), ny(begins) if begins else None)
    found = compute_dates(ahead, USUAL)
    # Moments are compared in UTC, because Python compares two of one zone by what their clocks show.
    assert found.valid_until.timestamp() == datetime.fromisoformat(until).timestamp()
    assert found.final_count_on == date.fromisoformat(count)
    assert found.deposit_latest_on == (date.fromisoformat(f"{count[:4]}-{deposit}") if deposit else None)
    assert not found.contradictions


def test_a_day_is_one_of_the_kitchen_not_of_utc() -> None:
    # 23:30 in Berlin is 21:30 or 22:30 in UTC, and October 31, 2027, has 25 hours there; October 17 + 14 = 31.
    now = datetime(2027, 10, 17, 23, 30, tzinfo=BERLIN)
    found = compute_dates(Ahead(now, datetime(2027, 11, 27, 0, 15, tzinfo=BERLIN)), USUAL)
    assert found.valid_until.isoformat() == "2027-10-31T23:59:00+01:00"
    assert found.final_count_on == date(2027, 11, 17)


AHEAD = Ahead(ny("2027-01-06T09:00"), ny("2027-01-26T15:30"), ny("2027-01-24T08:00"))
UNKNOWN = Ahead(AHEAD.now, AHEAD.event)


def january(day: int) -> date:
    """Return a day of January 2027, in which event and work of these tests are."""
    return date(2027, 1, day)


@pytest.mark.parametrize(
    ("ahead", "valid", "count", "found"),
    [
        # All of the usual ones.
        (AHEAD, None, "usual", ()),
        # An own final count before an own validity ends; on the same day both hold.
        (AHEAD, 12, 9, (("valid_after_count", 12, 9, 6, 9),)),
        (AHEAD, 9, 9, ()),
        # A usual final count, 26 - 10 = 16, makes way for an own validity.
        (AHEAD, 18, "usual", ()),
        # The work begins on the 24th, so the 23rd is the last day.
        (AHEAD, 23, "usual", ()),
        (AHEAD, 24, "usual", (("valid_after_work", 24, 24, 6, 23),)),
        (AHEAD, None, 24, (("count_after_work", 24, 24, 6, 23),)),
        (AHEAD, 25, 30, (("valid_after_work", 25, 24, 6, 23), ("count_after_work", 30, 24, 6, 23))),
        # Where it is not known when it begins, the day before the event is.
        (UNKNOWN, 25, 25, ()),
        (UNKNOWN, 26, None, (("valid_after_event", 26, 26, 6, 25),)),
        (UNKNOWN, None, 26, (("count_after_event", 26, 26, 6, 25),)),
        # A day that is over; that a validity is over is another refusal.
        (AHEAD, None, 5, (("count_passed", 5, 6, 6, 23),)),
        (AHEAD, 5, 20, ()),
        # Without a final count nothing comes before one.
        (AHEAD, 23, None, ()),
    ],
)
def test_what_cannot_both_hold_is_found_with_what_would_fit(
    ahead: Ahead, valid: int | None, count: int | str | None, found: tuple[tuple[str, int, int, int, int], ...]
) -> None:
    stated = Stated(
        valid_until=ny(f"2027-01-{valid:02}T23:59") if valid else None,
        count_stated=count != "usual",
        final_count_on=january(count) if isinstance(count, int) else None,
    )
    expected = tuple(
        Contradiction(
            code,
            Term.VALIDITY if code.startswith("valid") else Term.FINAL_COUNT,
            *(january(number) for number in days),
        )
        for code, *days in found
    )
    assert compute_dates(ahead, USUAL, stated).contradictions == expected


def test_what_is_shorter_than_usual_is_named() -> None:
    near = Ahead(ny("2027-01-06T09:00"), ny("2027-01-15T15:30"), ny("2027-01-13T08:00"))
    shortened = [(one.term, one.day, one.days, one.usual, one.later) for one in compute_dates(near, USUAL).shortened]
    assert shortened == [
        (Term.FINAL_COUNT, january(9), 6, 10, True),
        (Term.VALIDITY, january(9), 3, 14, False),
        (Term.DEPOSIT, january(12), 6, 7, False),
    ]
    far = Ahead(near.now, ny("2027-02-06T15:30"), ny("2027-02-05T08:00"))
    assert compute_dates(far, USUAL).shortened == ()
    over = Ahead(near.now, ny("2027-01-05T15:30"))
    assert compute_dates(over, USUAL).shortened == ()


@pytest.mark.parametrize(
    ("approved", "days", "latest", "due"),
    [
        ("2027-01-06", 7, None, "2027-01-13"),
        ("2027-01-06", 7, "2027-01-12", "2027-01-12"),
        ("2027-01-05", 7, "2027-01-12", "2027-01-12"),
        ("2027-01-04", 7, "2027-01-12", "2027-01-11"),
        # Approved after the last day, as a quote from before there was one may be: on the day of the approval.
        ("2027-01-14", 7, "2027-01-12", "2027-01-14"),
        ("2028-02-25", 7, None, "2028-03-03"),
        ("2027-02-25", 7, None, "2027-03-04"),
        ("2027-01-06", 0, None, "2027-01-06"),
    ],
)
def test_a_deposit_is_due_after_the_approval_and_before_the_work(
    approved: str, days: int, latest: str | None, due: str
) -> None:
    last = date.fromisoformat(latest) if latest else None
    found = deposit_due(approved_on=date.fromisoformat(approved), days=days, latest_on=last)
    assert found.isoformat() == due


START = datetime(2027, 1, 1, tzinfo=UTC)
#: Three years with a leap day and six changes of the clocks.
MINUTES = st.integers(0, 3 * 365 * 24 * 60)
NOWS = MINUTES.map(lambda minutes: (START + timedelta(minutes=minutes)).astimezone(NEW_YORK))
HOURS = st.integers(1, 24 * 60)
TERMS = st.builds(Usual, st.integers(0, 60), st.integers(0, 60), st.integers(0, 60))


@given(now=NOWS, away=HOURS, before=st.none() | HOURS, usual=TERMS)
def test_usual_dates_are_in_order_whatever_the_event(
    now: datetime, away: int, before: int | None, usual: Usual
) -> None:
    event = (now.astimezone(UTC) + timedelta(hours=away)).astimezone(NEW_YORK)
    ahead = Ahead(now, event, None if before is None else max(now, event - timedelta(hours=before)))
    found = compute_dates(ahead, usual)
    assert not found.contradictions
    assert found.final_count_on is not None
    assert ahead.today <= found.valid_until.date() <= found.final_count_on <= ahead.last
    assert ahead.last == ahead.today or ahead.last < ahead.limit.date()
    for approved in (ahead.today, found.valid_until.date()):
        due = deposit_due(approved_on=approved, days=usual.deposit_days, latest_on=found.deposit_latest_on)
        assert approved <= due <= ahead.last


@given(now=NOWS, away=HOURS, valid=st.none() | st.integers(0, 60), count=st.none() | st.integers(-5, 60), usual=TERMS)
def test_what_is_proposed_instead_fits(
    now: datetime, away: int, valid: int | None, count: int | None, usual: Usual
) -> None:
    event = (now.astimezone(UTC) + timedelta(hours=away)).astimezone(NEW_YORK)
    ahead = Ahead(now, event)
    stated = Stated(
        None if valid is None else (now + timedelta(days=valid)).replace(hour=23, minute=59, second=0, microsecond=0),
        count is not None,
        None if count is None else now.date() + timedelta(days=count),
    )
    for _ in range(2):
        for one in compute_dates(ahead, usual, stated).contradictions:
            end = datetime.combine(one.most, now.time(), tzinfo=NEW_YORK)
            if one.term == Term.VALIDITY:
                stated = Stated(end, stated.count_stated, stated.final_count_on)
            else:
                stated = Stated(stated.valid_until, True, one.most)
    assert compute_dates(ahead, usual, stated).contradictions == ()


@pytest.mark.parametrize(
    ("event", "begins", "full", "deposit"),
    [
        # 20 days, valid until the 16th: 16 + 7 = 23, but from 26 - 7 = 19 on canceling costs it all, so the 18th.
        ("2027-01-26T15:30", "2027-01-24T08:00", 7, "01-18"),
        # 9 days, valid until the 9th: 15 - 7 = 8 is before that, so on the day of the approval.
        ("2027-01-15T15:30", "2027-01-13T08:00", 7, "01-06"),
        # 3 days: that day is over already.
        ("2027-01-09T15:30", "2027-01-08T08:00", 7, "01-06"),
        # 9 days, the whole price from the day before on: the work begins before that, as it did without a table.
        ("2027-01-15T15:30", "2027-01-13T08:00", 1, "01-12"),
        # A month away nothing is shortened.
        ("2027-02-06T15:30", "2027-02-05T08:00", 7, None),
    ],
)
def test_a_deposit_is_due_before_canceling_costs_the_whole_price(
    event: str, begins: str, full: int, deposit: str | None
) -> None:
    found = compute_dates(Ahead(ny("2027-01-06T09:00"), ny(event), ny(begins)), replace(USUAL, full_charge_days=full))
    assert found.deposit_latest_on == (date.fromisoformat(f"2027-{deposit}") if deposit else None)
    deposits = [one for one in found.shortened if one.term == Term.DEPOSIT]
    assert [one.day for one in deposits] == ([found.deposit_latest_on] if deposit else [])
    assert [one.charged_from is not None for one in deposits] == ([full == 7] if deposit else [])
