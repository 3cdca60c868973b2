"""When things may be picked up or leave: what is outside these hours cannot be kept, and says which hours there are."""

from datetime import datetime, time, timedelta
from typing import Any

import pytest
from django.utils import timezone

from catalog.book.revision import catalog_changed
from catalog.kitchen.models import ClosedDay, DatedHours, HandOverHours, OpenHours
from catalog.kitchen.selectors import kitchen
from catalog.web import display
from orders.inquiries.models import Inquiry
from orders.orders.models import Order
from orders.quotes.draft.dessert_table import table_of
from orders.quotes.draft.estimate import estimate_draft
from orders.quotes.draft.presenters import WindowShown, window_shown
from orders.quotes.draft.windows import WindowAnswer
from orders.quotes.models import Quote
from orders.records.errors import OutsideHours
from tests import factories
from tests.factories import BY, EVENT, NOW, draft_make, line_make, table_make
from tests.refusals import refused
from tests.sending import quote_send_seen

pytestmark = pytest.mark.django_db
PICKUP = {"hand_over": Inquiry.HandOver.PICKUP, "place": "", "km": None, "minutes": None, "setup_minutes": None}
SATURDAY, SUNDAY = 5, 6


@pytest.fixture(autouse=True)
def _a_kitchen() -> None:
    factories.kitchen_make()
    OpenHours.objects.create(weekday=SUNDAY, opens="07:00", closes="12:00")
    catalog_changed()


def at(day: int, hour: int, minute: int = 0) -> datetime:
    """A moment of February 2027: the 6th is a Saturday."""
    return EVENT.replace(day=day, hour=hour, minute=minute)


def drafted(begins: datetime, **facts: Any) -> Quote:
    table = table_make(lines=(line_make("quince-square", 24),), extras=())
    return draft_make(table=table, window_start=begins, window_end=begins + timedelta(minutes=30), **facts)


def found_for(begins: datetime, **facts: Any) -> WindowAnswer:
    quote = drafted(begins, **facts)
    answer = estimate_draft(table_of(quote), inquiry=quote.inquiry, kitchen=kitchen(), now=NOW).window
    assert answer is not None
    return answer


def answered(begins: datetime, **facts: Any) -> WindowShown:
    quote = drafted(begins, **facts)
    with display.kitchen_display(kitchen()):
        found = estimate_draft(table_of(quote), inquiry=quote.inquiry, kitchen=kitchen(), now=NOW)
        answer = window_shown(found.window)
    assert answer is not None
    return answer


def hand_over_make(*week: tuple[int, str, str]) -> None:
    HandOverHours.objects.bulk_create(
        HandOverHours(weekday=day, opens=opens, closes=closes) for day, opens, closes in week
    )
    catalog_changed()


def test_a_pickup_on_sunday_night_cannot_be_kept_where_sunday_ends_at_noon() -> None:
    answer = answered(at(7, 21), **PICKUP)
    assert not answer.fits
    assert answer.sentence == "Pickup on Sunday, February 7, 2027 is possible from 7:00 AM to 12:00 PM."
    assert answer.instead == "Sunday, February 7, 2027, 11:30 AM to 12:00 PM works."
    assert answered(at(7, 11, 30), **PICKUP).fits
    assert not answered(at(7, 11, 45), **PICKUP).fits, "somebody is there for the whole window"


def test_sending_a_pickup_that_nobody_is_there_for_is_refused() -> None:
    quote = drafted(at(7, 21), **PICKUP)
    with (
        timezone.override(factories.ZONE),
        refused(OutsideHours, r"to 12:00 PM\. Sunday, February 7, 2027, 11:30 AM"),
    ):
        quote_send_seen(quote_id=quote.pk, by=BY, at=NOW)


def test_hand_over_hours_count_instead_of_working_hours_where_there_are_any() -> None:
    hand_over_make((SATURDAY, "10:00", "12:00"), (SATURDAY, "15:00", "18:00"))
    answer = answered(at(6, 13), **PICKUP)
    assert answer.sentence == (
        "Pickup on Saturday, February 6, 2027 is possible from 10:00 AM to 12:00 PM and 3:00 PM to 6:00 PM."
    )
    assert answer.instead == "Saturday, February 6, 2027, 11:30 AM to 12:00 PM works."
    assert answered(at(6, 15), **PICKUP).fits
    assert answered(at(7, 9), **PICKUP).sentence == (
        "There are no pickup and delivery hours on Sunday, February 7, 2027."
    )


def test_a_delivery_leaves_within_hand_over_hours() -> None:
    assert answered(at(6, 20)).fits, "nothing says when deliveries leave"
    hand_over_make((SATURDAY, "10:00", "17:00"))
    # 35 minutes on the way and 40 of setup come before the window.
    answer = answered(at(6, 18, 30))
    assert answer.sentence == (
        "It would leave at 5:15 PM. On Saturday, February 6, 2027 deliveries leave from 10:00 AM to 5:00 PM."
    )
    assert answer.instead == "Saturday, February 6, 2027, 6:15 PM to 6:45 PM works."
    assert answered(at(6, 18, 15)).fits


def test_on_a_closed_day_nothing_is_hand_over_make() -> None:
    hand_over_make((SATURDAY, "10:00", "17:00"))
    ClosedDay.objects.create(date=at(6, 12).date(), reason="Stocktaking")
    catalog_changed()
    answer = answered(at(6, 13))
    assert answer.sentence == "The kitchen is closed on Saturday, February 6, 2027: Stocktaking."
    assert "February 6" not in answer.instead
    assert answered(at(6, 13), **PICKUP).sentence == answer.sentence


def test_hours_of_a_date_count_instead_of_the_weekdays() -> None:
    DatedHours.objects.create(date=at(7, 12).date(), opens=time(15), closes=time(22), reason="Evening wedding")
    catalog_changed()
    assert answered(at(7, 21), **PICKUP).fits
    answer = answered(at(7, 9), **PICKUP)
    assert answer.sentence == "Pickup on Sunday, February 7, 2027 is possible from 3:00 PM to 10:00 PM."
    hand_over_make((SATURDAY, "10:00", "17:00"))
    assert answered(at(7, 21), **PICKUP).fits, "they count for handing over too"


def test_hand_over_hours_count_where_no_working_hours_are_entered() -> None:
    OpenHours.objects.all().delete()
    hand_over_make((SATURDAY, "10:00", "17:00"))
    assert answered(at(6, 19), **PICKUP).sentence.endswith("is possible from 10:00 AM to 5:00 PM.")
    inside = drafted(at(6, 12), **PICKUP)
    found = estimate_draft(table_of(inside), inquiry=inside.inquiry, kitchen=kitchen(), now=NOW)
    assert found.window is None, "whether it is ready by then is not known"


def test_what_leaves_too_soon_is_not_refused_for_the_hours() -> None:
    hand_over_make(*((day, "00:00", "23:59") for day in range(7)))
    answer = answered(NOW + timedelta(minutes=30))
    assert "It would leave" not in answer.sentence
    assert not Order.objects.exists()


def test_a_delivery_is_ready_to_leave_for_the_start_of_its_window() -> None:
    too_early = found_for(NOW + timedelta(minutes=90))
    assert too_early.instead is not None
    first = too_early.instead.params["window"][0]
    assert found_for(first).fits
    # It would be there within the window, not for its start: every sheet lets it leave for the start.
    late = found_for(first - timedelta(minutes=15))
    assert not late.fits
    assert late.instead is not None
    assert late.instead.params["window"] == (first, first + timedelta(minutes=30))
