"""What a plan counts of stations and vehicles is entered on their pages, checked, and written in words."""

from datetime import date, time, timedelta
from decimal import Decimal
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from catalog.book.selectors import book_current
from catalog.kitchen.models import Kitchen, Vehicle
from catalog.rates.models import Station, StationOut
from catalog.rates.selectors import OutData
from catalog.rates.services import station_out_add
from catalog.rates.station_words import counted_words, span_words, tolerance_words
from tests.integration.catalog.book.forms import example
from tests.integration.catalog.book.test_book import taken_over
from tests.integration.catalog.kitchen_pages import PROFILE, rows, shows, signed_in, text
from tests.integration.forms_on_pages import forms_of, save_edit
from tests.integration.orders.builders import order_make

pytestmark = pytest.mark.django_db

OVEN = {"name": "Deck oven", "kind": "oven", "monthly_hours": "150", "hourly": "", "places": "4", "air": "still"}
OVEN |= {"air_c": "", "count": "3", "tolerance_c": "18"}


@pytest.fixture
def owner() -> Client:
    taken_over(example("small"))
    Kitchen.objects.update(degrees="F", measures="us", country="US")
    return signed_in()


def _oven(owner: Client, **more: str) -> Station:
    owner.post(reverse("kitchen-stations-new"), OVEN | more)
    return Station.objects.get(name="Deck oven")


def _out(**more: Any) -> dict[str, Any]:
    base = {"out-first_day": "2027-02-01", "out-begins": "", "out-last_day": "2027-02-02", "out-ends": ""}
    return base | {"out-count": "1", "out-reason": "service"} | {f"out-{key}": value for key, value in more.items()}


def _add(owner: Client, station: Station, **more: Any) -> Any:
    return owner.post(reverse("kitchen-stations-out", args=[station.pk]), _out(**more))


class TestStation:
    def test_how_many_alike_and_how_far_apart_are_saved_and_shown_in_the_kitchens_degrees(self, owner: Client) -> None:
        oven = _oven(owner)
        assert (oven.count, oven.places, oven.tolerance_c) == (3, 4, Decimal(10))
        page = owner.get(reverse("kitchen-stations-edit", args=[oven.pk]))
        assert shows(page, "18")
        assert "3 alike, 4 places each." in text(page)
        assert "Loads at the same time may be up to 18 °F apart." in text(page)
        assert "3 alike, 4 places each" in text(owner.get(reverse("kitchen-stations")))
        stored = book_current().station("deck-oven")
        assert (stored.count, stored.tolerance_c) == (3, 10)

    def test_a_difference_may_be_written_in_the_other_degrees(self, owner: Client) -> None:
        assert _oven(owner, tolerance_c="15 °C").tolerance_c == 15

    def test_saving_it_as_shown_changes_nothing(self, owner: Client) -> None:
        oven = _oven(owner, tolerance_c="25")
        assert oven.tolerance_c == Decimal("13.888889")
        address = reverse("kitchen-stations-edit", args=[oven.pk])
        shown = next(form for form in forms_of(owner.get(address)) if "monthly_hours" in form.fields)
        assert shown.fields["tolerance_c"] == ["25"]
        owner.post(address, shown.data())
        assert Station.objects.get(pk=oven.pk).tolerance_c == Decimal("13.888889")

    def test_what_is_not_entered_counts_by_a_safe_default_that_is_named(self, owner: Client) -> None:
        oven = _oven(owner, count="", tolerance_c="", places="")
        assert (oven.count, oven.tolerance_c) == (1, None)
        page = text(owner.get(reverse("kitchen-stations-edit", args=[oven.pk])))
        assert "One; its places are not entered, so it counts as one place." in page
        assert "No temperature difference is entered: loads up to 18 °F apart count as going in together." in page
        assert "Empty: an oven counts with 18 °F, a safe default." in page

    @pytest.mark.parametrize(
        ("field", "value", "sentence"),
        [
            ("count", "0", "The number alike must be 1 or more."),
            ("count", "1001", "The number alike must be 1000 or less."),
            ("tolerance_c", "-1", "The temperature difference must be from 0 to 360 °F."),
            ("tolerance_c", "361", "The temperature difference must be from 0 to 360 °F."),
        ],
    )
    def test_a_figure_out_of_range_is_named(self, owner: Client, field: str, value: str, sentence: str) -> None:
        response = owner.post(reverse("kitchen-stations-new"), OVEN | {field: value})
        assert text(response).count(sentence) == 2
        assert not Station.objects.filter(name="Deck oven").exists()

    def test_fewer_than_are_out_of_order_are_refused(self, owner: Client) -> None:
        oven = _oven(owner)
        _add(owner, oven, count="2")
        response = save_edit(owner, reverse("kitchen-stations-edit", args=[oven.pk]), OVEN | {"count": "1"})
        assert "2 are listed as out of order below, and you enter 1. Remove that first." in text(response)
        assert Station.objects.get(pk=oven.pk).count == 3


class TestOutOfOrder:
    def test_whole_days_are_added_listed_and_in_the_book(self, owner: Client) -> None:
        oven = _oven(owner)
        assert _add(owner, oven).status_code == 302
        out = oven.outs.get()
        assert (out.first_day, out.begins, out.last_day, out.ends) == (
            date(2027, 2, 1),
            time(0),
            date(2027, 2, 3),
            time(0),
        )
        page = text(owner.get(reverse("kitchen-stations-edit", args=[oven.pk])))
        assert "3 alike, 4 places each; one is out of order Feb 1, 2027 to Feb 2, 2027: service." in page
        [stored] = book_current().station("deck-oven").out
        assert (stored.begins.isoformat(), stored.ends.isoformat()) == ("2027-02-01T00:00:00", "2027-02-03T00:00:00")

    def test_hours_may_be_entered(self, owner: Client) -> None:
        oven = _oven(owner, count="1")
        _add(owner, oven, begins="8 am", last_day="2027-02-01", ends="12:30", reason="")
        assert span_words(oven.outs.get()) == "Feb 1, 2027, 8:00 AM to 12:30 PM"
        assert counted_words(oven, oven.outs.all()) == (
            "One, with 4 places; it is out of order Feb 1, 2027, 8:00 AM to 12:30 PM"
        )

    def test_sent_twice_it_is_added_once(self, owner: Client) -> None:
        oven = _oven(owner, count="1")
        assert [_add(owner, oven).status_code for _ in range(2)] == [302, 302]
        assert oven.outs.count() == 1

    @pytest.mark.parametrize(
        ("more", "sentence"),
        [
            ({"first_day": ""}, "Enter the first day out of order."),
            ({"last_day": "2027-01-31"}, "It ends before it begins. Enter a later end."),
            ({"last_day": "2027-02-01", "begins": "9:00", "ends": "9:00"}, "It ends before it begins."),
            ({"begins": "noonish"}, "Write the hour it begins as a time"),
            ({"count": "4"}, "The number out of order is 4, and there are 3 of Deck oven. Lower it."),
            ({"reason": "x" * 81}, "Shorten “Reason” to 80 characters: it has 81."),
        ],
    )
    def test_what_cannot_be_is_named_and_shown_again(self, owner: Client, more: dict[str, str], sentence: str) -> None:
        oven = _oven(owner)
        response = _add(owner, oven, **more)
        assert response.status_code == 422
        assert text(response).count(sentence) == 2
        assert not StationOut.objects.exists()

    def test_more_at_once_than_there_are_is_refused(self, owner: Client) -> None:
        oven = _oven(owner)
        _add(owner, oven, count="2")
        response = _add(owner, oven, count="2", first_day="2027-02-02", last_day="2027-02-05")
        assert "With what is listed already, 4 of 3 would be out of order at once." in text(response)
        assert _add(owner, oven, count="2", first_day="2027-02-03", last_day="2027-02-05").status_code == 302

    def test_it_is_removed_and_that_can_be_undone(self, owner: Client) -> None:
        oven = _oven(owner)
        _add(owner, oven)
        page = owner.post(reverse("kitchen-stations-out-remove", args=[oven.outs.get().pk]), follow=True)
        assert "out of order Feb 1, 2027 to Feb 2, 2027 is removed." in text(page)
        assert not StationOut.objects.exists()
        undo = next(form for form in forms_of(page) if "undo" in form.action)
        owner.post(undo.action, undo.data())
        assert oven.outs.count() == 1
        assert book_current().station("deck-oven").out

    def test_one_that_is_over_no_longer_counts(self, owner: Client) -> None:
        oven = _oven(owner)
        past = timezone.localdate() - timedelta(days=3)
        station_out_add(station_id=oven.pk, data=OutData(past, time(0), past + timedelta(days=1), time(0)))
        assert "out of order" not in text(owner.get(reverse("kitchen-stations")))

    def test_orders_promised_in_it_are_named(self) -> None:
        order = order_make()
        day = order.window_start.date()
        oven = Station.objects.get(code="oven")
        station_out_add(station_id=oven.pk, data=OutData(day - timedelta(days=1), time(0), day, time(0)))
        page = text(signed_in().get(reverse("kitchen-stations-edit", args=[oven.pk])))
        assert f"Promised then or on the day after: {order.number} {order.title}" in page


def test_only_an_oven_needs_a_temperature_difference() -> None:
    assert tolerance_words(Station(kind="rack"), "F") == ""
    assert "10 °C apart" in tolerance_words(Station(kind="oven"), "C")
    assert tolerance_words(Station(kind="refrigerator", tolerance_c=Decimal(2)), "C").endswith("up to 2 °C apart.")


class TestVehicles:
    def _save(self, owner: Client, *vehicles: dict[str, str]) -> Any:
        page = owner.get(reverse("kitchen-delivery"))
        form = next(form for form in forms_of(page) if "per_km" in form.fields)
        sent = {name: value for name, value in form.fields.items() if not name.startswith("vehicles-")}
        return owner.post(reverse("kitchen-delivery"), sent | rows("vehicles", *vehicles))

    def test_the_way_is_cold_where_every_vehicle_is(self, owner: Client) -> None:
        self._save(owner, {"name": "Van", "cold": "on"})
        assert Kitchen.objects.get().vehicle_cold
        assert "Every vehicle is refrigerated" in text(owner.get(reverse("kitchen-profile")))
        self._save(owner, {"name": "Van", "cold": "on"}, {"name": "Estate car"})
        assert not Kitchen.objects.get().vehicle_cold
        assert "Not every vehicle is refrigerated" in text(owner.get(reverse("kitchen-profile")))
        assert [(one.name, one.cold) for one in book_current().vehicles] == [("Van", True), ("Estate car", False)]
        self._save(owner)
        assert not Vehicle.objects.exists()

    def test_the_profile_leaves_it_to_the_vehicles_and_asks_where_there_are_none(self, owner: Client) -> None:
        assert "vehicle_cold" in owner.get(reverse("kitchen-profile")).context["form"].fields
        self._save(owner, {"name": "Van", "cold": "on"})
        save_edit(owner, reverse("kitchen-profile"), PROFILE)
        assert Kitchen.objects.get().vehicle_cold

    def test_a_name_is_asked_for_and_stands_once(self, owner: Client) -> None:
        assert "Enter the name of the vehicle, such as White van." in text(self._save(owner, {"cold": "on"}))
        assert "This vehicle is entered twice." in text(self._save(owner, {"name": "Van"}, {"name": "van"}))
        assert not Vehicle.objects.exists()


class TestLongestWait:
    def test_it_is_entered_in_the_profile_whose_help_names_the_safe_defaults(self, owner: Client) -> None:
        page = text(owner.get(reverse("kitchen-profile")))
        assert "Empty: 60 min. In the cold it waits as long as the product keeps, else 72 h." in page
        save_edit(owner, reverse("kitchen-profile"), PROFILE | {"longest_wait_min": "45 min"})
        assert book_current().kitchen.described.longest_wait_min == 45

    @pytest.mark.parametrize("value", ["0", "8 days", "1.5 min"])
    def test_one_out_of_range_is_named(self, owner: Client, value: str) -> None:
        response = save_edit(owner, reverse("kitchen-profile"), PROFILE | {"longest_wait_min": value})
        assert "The longest wait must be whole minutes, from 1 min to 7 days." in text(response)
        assert Kitchen.objects.get().longest_wait_min is None
