"""The hours page: people, pickup and delivery hours, days that differ, holidays, limits, and what is promised."""

from collections.abc import Iterator
from datetime import date, time
from unittest.mock import patch

import pytest
from django.urls import reverse
from django.utils.translation import override

from catalog.kitchen.models import ClosedDay, DatedHours, HandOverHours, Kitchen, OpenHours
from catalog.kitchen.public_holidays import public_holidays
from orders.orders.models import Order
from tests import factories
from tests.integration.catalog.kitchen_pages import PROFILE, calendar, signed_in, text
from tests.integration.forms_on_pages import edit_form_of, save_edit

pytestmark = pytest.mark.django_db
WEEK = [{"weekday": day, "opens": "06:00", "closes": "18:00"} for day in range(1, 6)]


def page() -> str:
    return reverse("kitchen-hours")


def test_people_and_hand_over_hours_are_saved_and_shown_again():
    client = signed_in()
    week = [{"weekday": 1, "opens": "7 am", "closes": "12:00", "hands": "3"}, {**WEEK[1], "hands": ""}]
    over = [{"weekday": 5, "opens": "10", "closes": "4 pm"}, {"weekday": "", "opens": "", "closes": ""}]
    assert save_edit(client, page(), calendar(week=week, handover=over)).status_code == 302
    assert list(OpenHours.objects.values_list("weekday", "hands")) == [(1, 3), (2, None)]
    assert list(HandOverHours.objects.values_list("weekday", "opens", "closes")) == [(5, time(10), time(16))]
    again = edit_form_of(client.get(page())).fields
    assert (again["week-0-hands"], again["week-1-hands"]) == (["3"], [""])
    assert again["handover-0-opens"] == ["10:00 AM"]


def test_parts_of_the_page_are_folded_until_something_in_them_is_wrong():
    client = signed_in()
    opened = '<details class="part" open>'
    closed = {"closed": [{"date": "2027-12-24", "reason": "Family"}]}
    assert save_edit(client, page(), calendar(week=WEEK, **closed)).status_code == 302
    html = client.get(page()).content.decode()
    assert (html.count('<details class="part"'), html.count(opened)) == (4, 1)
    assert "Closed days 1 entered" in text(client.get(page()))
    wrong = save_edit(client, page(), calendar(week=WEEK, closed=[{"date": "", "reason": "Family"}]))
    assert wrong.content.decode().count(opened) == 2


def test_a_date_has_hours_people_and_a_reason_of_its_own():
    client = signed_in()
    day = {"date": "2027-12-24", "opens": "5:00", "closes": "12:00", "hands": "2", "reason": "Short day"}
    assert save_edit(client, page(), calendar(days=[day])).status_code == 302
    saved = DatedHours.objects.get()
    assert (saved.date, saved.opens, saved.closes) == (date(2027, 12, 24), time(5), time(12))
    assert (saved.hands, saved.reason) == (2, "Short day")


@pytest.mark.parametrize(
    ("rows", "sentence"),
    [
        ({"week": [{**WEEK[0], "hands": "0"}]}, "Row 1: The number of people must be 1 or more."),
        ({"week": [{**WEEK[0], "hands": "1.5"}]}, "Write the number of people as a whole number, such as 3."),
        ({"week": [{"weekday": 1, "opens": "", "closes": "", "hands": "2"}]}, "Row 1: Enter when work starts."),
        (
            {"handover": [{"weekday": 1, "opens": "9", "closes": "8"}]},
            "Pickup or delivery time 1: Enter an end after 9:00 AM.",
        ),
        (
            {"handover": [{"weekday": 1, "opens": "", "closes": "8"}]},
            "Pickup or delivery time 1: Enter from what time.",
        ),
        ({"days": [{"date": "", "opens": "9", "closes": "10"}]}, "Day with other hours 1: Enter the date."),
        ({"days": [{"date": "2027-12-24", "reason": "Short"}]}, "Day with other hours 1: Enter when work starts."),
        (
            {"days": [{"date": "2027-12-24", "opens": "9", "closes": "12"}] * 2},
            "Day with other hours 2: This overlaps December 24, 2027 9:00 AM to 12:00 PM.",
        ),
        (
            {"days": [{"date": "2027-12-24", "opens": "9", "closes": "12"}], "closed": [{"date": "2027-12-24"}]},
            "Day with other hours 1: This date is a closed day. Remove one of the two.",
        ),
    ],
)
def test_wrong_rows_are_named_and_nothing_is_saved(rows, sentence):
    response = save_edit(signed_in(), page(), calendar(**rows))
    assert sentence in text(response)
    assert not any(model.objects.exists() for model in (OpenHours, HandOverHours, DatedHours))


@pytest.fixture
def _then() -> Iterator[None]:
    with patch("django.utils.timezone.now", return_value=factories.NOW):
        yield


@pytest.mark.usefixtures("_then")
def test_public_holidays_are_listed_and_only_those_ticked_are_closed():
    client = signed_in()
    save_edit(client, reverse("kitchen-profile"), PROFILE)
    words = text(client.get(page()))
    assert "Public holidays in the next 12 months" in words
    assert "Monday, May 31, 2027: Memorial Day" in words
    assert not ClosedDay.objects.exists(), "none is applied by itself"
    data = calendar() | {"holidays": ["2027-05-31"]}
    assert save_edit(client, page(), data).status_code == 302
    assert list(ClosedDay.objects.values_list("date", "reason")) == [(date(2027, 5, 31), "Memorial Day")]
    assert "Memorial Day" not in text(client.get(page())).partition("Public holidays")[2]


@pytest.mark.usefixtures("_then")
def test_a_holiday_that_was_closed_meanwhile_is_no_error():
    client = signed_in()
    save_edit(client, reverse("kitchen-profile"), PROFILE)
    ClosedDay.objects.create(date=date(2027, 5, 31), reason="Memorial Day")
    assert save_edit(client, page(), calendar() | {"holidays": ["2027-05-31"]}).status_code == 302
    assert ClosedDay.objects.count() == 1


def test_holidays_are_those_of_the_country_in_a_language_there_is():
    since = date(2026, 12, 1)
    with override("en-gb"):
        german = public_holidays("DE", since=since, language="en-gb")
    names = {one.name for one in german}
    assert "Labour Day" in names
    assert "Labor Day" not in names
    assert (german[0].day, german[0].name) == (date(2026, 12, 25), "Christmas Day")
    assert public_holidays("DE", since=since, language="de")[0].name == "Erster Weihnachtstag"
    assert public_holidays("DE", since=since, language="sv")[0].name == "Erster Weihnachtstag"
    assert all(since <= one.day <= date(2027, 12, 1) for one in german)
    assert public_holidays("XX", since=since, language="en") == ()


def test_limits_of_a_day_are_saved_with_the_hours_and_are_no_part_of_the_profile():
    client = signed_in()
    save_edit(client, reverse("kitchen-profile"), PROFILE)
    limits = {"most_events": "3", "most_guests": "400"}
    assert save_edit(client, page(), calendar() | limits).status_code == 302
    save_edit(client, reverse("kitchen-profile"), PROFILE | {"phone": "555 0199"})
    home = Kitchen.objects.get()
    assert (home.most_events_per_day, home.most_guests_per_day) == (3, 400)
    assert "The events of a day must be 1 or more." in text(
        save_edit(client, page(), calendar() | {**limits, "most_events": "0"})
    )


@pytest.fixture
def order(_then: None) -> Order:
    """A wedding on Saturday, February 6, 2027, delivered from 3:30 PM."""
    factories.kitchen_make()
    factories.approved_make()
    return Order.objects.get()


def closed(client, **rows):
    return text(save_edit(client, page(), calendar(**{"week": WEEK, **rows}), follow=True))


def test_closing_a_day_over_an_order_names_it_and_is_allowed(order):
    client = signed_in()
    words = closed(client, closed=[{"date": "2027-02-06", "reason": "Stocktaking"}])
    assert ClosedDay.objects.exists()
    named = f"{order}: delivery on February 6, 2027"
    assert "Promised outside these hours: " in words
    assert words.count(named) == 2, "in the message, and on the page"
    later = client.get(page())
    assert named in text(later)
    assert reverse("order", args=[order.pk]) in later.content.decode()
    assert "Promised outside these hours" not in text(later)
    order.refresh_from_db()
    assert order.status == "confirmed"


def test_closing_a_day_on_which_an_order_is_made_names_it(order):
    words = closed(signed_in(), closed=[{"date": "2027-02-05", "reason": ""}])
    assert f"{order}: work planned on February 5, 2027" in words
    assert "delivery on" not in words


def test_shorter_hours_of_the_week_name_what_no_longer_fits(order):
    week = [{**row, "closes": "07:00"} for row in WEEK]
    words = closed(signed_in(), week=week)
    assert f"{order}: work planned on " in words.partition("Promised outside these hours: ")[2]


def test_hand_over_hours_name_a_delivery_that_would_leave_outside_them(order):
    words = closed(signed_in(), handover=[{"weekday": 5, "opens": "8:00", "closes": "12:00"}])
    assert f"{order}: delivery on February 6, 2027" in words


def test_hours_that_hold_what_is_promised_name_nothing(order):
    words = closed(signed_in(), days=[{"date": "2027-02-06", "opens": "5:00", "closes": "20:00"}])
    assert "Promised" not in words
    assert str(order) not in words
