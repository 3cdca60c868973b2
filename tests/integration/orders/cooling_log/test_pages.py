"""What has to be measured, and what was, on the pages and sheets; and the form in which the kitchen records it."""

from datetime import timedelta
from decimal import Decimal

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from catalog.book.revision import catalog_changed
from catalog.products.models import Product
from orders.cooling_log.models import CoolingRecord
from orders.orders.models import Order
from tests.cooling_kitchen import DEEP, MEASURED, cooling_kitchen_make
from tests.factories import EVENT
from tests.integration.orders.builders import order_make
from tests.integration.orders.cooling_log.measuring import AFTER, START, TART, deep_order, read, record, tart
from tests.integration.orders.register.test_register import signed_in

pytestmark = pytest.mark.django_db


def text_of(client: Client, name: str, *args: int, **query: str) -> str:
    page = client.get(reverse(name, args=args), query)
    assert page.status_code == 200, name
    return " ".join(page.content.decode().split())


PERIOD = {"first": EVENT.date().isoformat(), "last": EVENT.date().isoformat()}
SHEETS = ("sheet-prep", "sheet-cold", "sheet-handover")


class TestPages:
    @pytest.fixture(autouse=True)
    def _then(self, monkeypatch: pytest.MonkeyPatch) -> None:
        monkeypatch.setattr("django.utils.timezone.now", lambda: AFTER)

    def everywhere(self, client: Client, order: Order) -> dict[str, str]:
        pages = {name: text_of(client, name, **PERIOD) for name in SHEETS}
        return pages | {"order": text_of(client, "order", order.pk), "day": text_of(client, "day")}

    def test_every_page_and_sheet_says_what_is_measured_instead_and_by_whom(self) -> None:
        order = deep_order()
        for name, page in self.everywhere(signed_in("kitchen"), order).items():
            assert f"Not cold in time by its steps. Measure: {MEASURED}. By Tomas." in page, name
            assert f"{reverse('order-cooling', args=[order.pk])}?item={tart()}" in page, name

    @pytest.mark.parametrize(("place", "degrees", "start"), [("us", "F", "135 °F"), ("nz", "C", "60 °C")])
    def test_the_page_says_from_which_temperature_the_rule_in_force_counts(
        self, place: str, degrees: str, start: str
    ) -> None:
        cooling_kitchen_make(**DEEP, food_safety=place, degrees=degrees)
        page = text_of(signed_in("kitchen"), "order-cooling", deep_order().pk)
        assert f"Cooling begins when it leaves the heat, or is at {start}. A time" in page
        assert page.count("135 °F") == (1 if place == "us" else 0)

    def test_what_nobody_said_is_asked_for(self) -> None:
        cooling_kitchen_make(**DEEP | {"diameter_cm": "12", "height_cm": "1.2"})
        order = deep_order()
        Product.objects.filter(code=TART).update(fill_height_cm="7.5")
        catalog_changed()
        for name, page in self.everywhere(signed_in("kitchen"), order).items():
            assert "no measurement is planned instead: ask before it leaves." in page, name

    def test_after_the_measurement_they_say_what_was_measured(self) -> None:
        order = deep_order()
        record(order, read(2, 68), read(6, 41))
        for name, page in self.everywhere(signed_in("kitchen"), order).items():
            assert "Measured: 41 °F on Friday, February 5, 2027, 3:00 PM by tomas." in page, name
            assert 'class="cooling-mark stop"' not in page, name

    def test_after_a_failure_a_stop_stands(self) -> None:
        order = deep_order()
        record(order, read(6, 60), outcome="not_met", action="discarded")
        for name, page in self.everywhere(signed_in("kitchen"), order).items():
            assert 'class="cooling-mark stop"' in page, name
            if name == "sheet-handover":
                assert "Discarded: does not go out" in page
                continue
            assert (
                "The cooling rule was not met: 60 °F on Friday, February 5, 2027, 3:00 PM by tomas. "
                "Discarded: it does not go out." in page
            ), name

    def test_the_bookkeeper_reads_the_mark_and_gets_no_link(self) -> None:
        order = deep_order()
        page = text_of(signed_in("bookkeeper"), "order", order.pk)
        assert "Measure: " in page
        assert reverse("order-cooling", args=[order.pk]) not in page

    def test_sheets_take_as_many_queries_for_three_orders_as_for_one(self) -> None:
        client = signed_in("kitchen")
        deep_order()
        counts = {}
        for round_ in range(2):
            for name in (*SHEETS, "day"):
                client.get(reverse(name), PERIOD)
                with CaptureQueriesContext(connection) as queries:
                    client.get(reverse(name), PERIOD)
                counts.setdefault(name, []).append(len(queries))
            if not round_:
                deep_order()
                deep_order()
        assert {name: one for name, one in counts.items() if one[0] != one[1]} == {}


def values(**facts: str) -> dict[str, str]:
    """What the kitchen fills in: begun at nine, cold by three."""
    return {
        "item": str(tart()),
        "day": START.date().isoformat(),
        "started_time": "9:00",
        "readings-0-celsius": "68",
        "readings-0-time": "11 am",
        "readings-1-celsius": "41",
        "readings-1-time": "15:00",
        "part": "0",
        "outcome": "met",
        **facts,
    }


class TestForm:
    @pytest.fixture(autouse=True)
    def _then(self, monkeypatch: pytest.MonkeyPatch) -> None:
        monkeypatch.setattr("django.utils.timezone.now", lambda: AFTER)

    def sent(self, role: str = "kitchen", *, order: Order | None = None, **facts: str) -> tuple[int, str]:
        address = reverse("order-cooling", args=[(order or deep_order()).pk])
        answer = signed_in(role).post(address, values(**facts))
        return answer.status_code, " ".join(answer.content.decode().split())

    @pytest.mark.parametrize(("role", "status"), [("owner", 302), ("kitchen", 302), ("bookkeeper", 403)])
    def test_owner_and_kitchen_record_and_the_bookkeeper_does_not(self, role: str, status: int) -> None:
        assert self.sent(role)[0] == status
        assert CoolingRecord.objects.count() == (status == 302)

    def test_what_was_entered_is_stored_as_entered(self) -> None:
        self.sent(note="Upper shelf")
        row = CoolingRecord.objects.get()
        assert row.read == (read(2, 68), read(6, 41))
        assert (row.started_at, row.note) == (START, "Upper shelf")

    def test_degrees_celsius_may_be_written_and_are_read_where_the_kitchen_has_them(self) -> None:
        cooling_kitchen_make(**DEEP, degrees="C")
        self.sent(**{"readings-0-celsius": "20", "readings-1-celsius": "5"})
        assert [one.celsius for one in CoolingRecord.objects.get().read] == [Decimal(20), Decimal(5)]

    def test_a_clock_before_the_one_above_is_of_the_next_day(self, monkeypatch: pytest.MonkeyPatch) -> None:
        order = deep_order()
        monkeypatch.setattr("django.utils.timezone.now", lambda: AFTER + timedelta(days=1))
        late = {"started_time": "22:00", "readings-0-time": "23:30", "readings-1-time": "3:30"}
        assert self.sent(order=order, **late)[0] == 302
        first, second = CoolingRecord.objects.get().read
        assert second.at - first.at == timedelta(hours=4)

    @pytest.mark.parametrize(
        ("facts", "words"),
        [
            ({"outcome": ""}, "Choose whether the rule was met, or whether it is still cooling."),
            ({"outcome": "fine"}, "Choose whether the rule was met, or whether it is still cooling."),
            ({"item": "product-0"}, "Choose the dessert or batch."),
            ({"day": ""}, "Enter the day on which cooling began."),
            ({"readings-0-time": ""}, "Enter when reading 1 was taken."),
            ({"readings-1-celsius": ""}, "Enter the temperature of reading 2."),
            ({"readings-0-celsius": "warm"}, "reading 1"),
            ({"readings-0-celsius": "900"}, "Reading 1 must be from -40 to 266 °F."),
            ({"readings-0-time": "25:00"}, "Write when reading 1 was taken as a time"),
            ({"readings-1-time": "18:00"}, "is in the future"),
            ({"readings-1-celsius": "44"}, "warmer than 41 °F"),
            ({"outcome": "not_met"}, "Choose what was done with Custard tart, 10 cm"),
            ({"outcome": "not_met", "action": "eaten"}, "Choose what was done"),
            ({"note": "x" * 301}, "Shorten “Note” to 300 characters"),
            ({"note": "\x00"}, "Note"),
        ],
    )
    def test_bad_input_names_the_field_and_nothing_is_lost(self, facts: dict[str, str], words: str) -> None:
        status, page = self.sent(**facts)
        assert status == 200
        assert words in page
        assert 'value="11 am"' in page or 'value="11:00"' in page or "readings-0-time" in facts
        assert not CoolingRecord.objects.exists()

    def test_the_page_names_the_limits_and_that_no_second_try_is_named(self) -> None:
        order = deep_order()
        client = signed_in("kitchen")
        page = text_of(client, "order-cooling", order.pk)
        assert "does not mention a second attempt" in page
        assert "Cold is 41 °F or colder." in page
        record(order, read(2, 68), outcome="cooling")
        page = text_of(client, "order-cooling", order.pk)
        assert "Began 9:00 AM: 70 °F by 11:00 AM and 41 °F by 3:00 PM." in page
        assert "68 °F on Friday, February 5, 2027, 11:00 AM" in page

    def test_an_order_that_asks_for_no_cooling_says_so(self) -> None:
        page = text_of(signed_in("kitchen"), "order-cooling", order_make().pk)
        assert "No step of this order’s products asks for cooling" in page
