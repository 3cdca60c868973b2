"""The owner edits pay, stations, monthly figures and delivery."""

from decimal import Decimal
from fractions import Fraction

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from hypothesis import given
from hypothesis import strategies as st

from catalog.kitchen.models import Kitchen
from catalog.rates.models import MonthlyCost, Role, Station
from catalog.rates.overhead import derived, overhead_rates
from catalog.rates.presenters import rate_shown
from catalog.rates.services import overhead_save, role_delete, role_save, station_delete, station_save
from catalog.records.errors import ChangedMeanwhile, InUse
from catalog.taxes.models import TaxCategory
from tests.integration.catalog.book.forms import book_json, example, whole_kitchen
from tests.integration.catalog.book.test_book import taken_over
from tests.integration.catalog.kitchen_pages import rows, shows, signed_in, text
from tests.integration.forms_on_pages import save_edit
from tests.refusals import refused

pytestmark = pytest.mark.django_db


@pytest.fixture
def owner():
    taken_over(example("small"))
    return signed_in()


@given(
    total=st.decimals("0.01", "100000", places=2), hours=st.decimals("0.01", "100000", places=2).filter(lambda n: n > 0)
)
def test_a_derived_rate_is_the_share_rounded_half_up_at_the_fourth_decimal(total, hours):
    exact = Fraction(total) / Fraction(hours)
    rate = Fraction(derived(total, hours))
    assert rate * 10**4 % 1 == 0
    assert -Fraction(1, 20000) <= exact - rate < Fraction(1, 20000)


def test_without_costs_or_without_hours_there_is_no_rate():
    assert derived(Decimal(0), Decimal(10)) is None
    assert derived(Decimal(10), None) is None


def test_a_new_kind_of_work_gets_a_code_and_its_cost_is_shown(owner):
    owner.post(reverse("kitchen-roles-new"), {"name": "Kitchen help", "hourly": "$17.50", "on_cost": "18%"})
    role = Role.objects.get(name="Kitchen help")
    assert (role.code, role.hourly, role.on_cost) == ("kitchen-help", Decimal("17.50"), Decimal("0.18"))
    assert "$20.65" in text(owner.get(reverse("kitchen-roles")))
    owner.post(reverse("kitchen-roles-new"), {"name": "Kitchen help", "hourly": "18", "on_cost": ""})
    assert Role.objects.get(code="kitchen-help-2").on_cost == 0


def test_new_pay_counts_in_the_book(owner):
    role = Role.objects.get(code="driver")
    save_edit(owner, reverse("kitchen-roles-edit", args=[role.pk]), {"name": "Driver", "hourly": "21", "on_cost": "12"})
    assert book_json()["roles"]["driver"] == {"hourly": "21", "on_cost": "0.12"}
    assert shows(owner.get(reverse("kitchen-roles-edit", args=[role.pk])), "21.00")


@pytest.mark.parametrize(
    ("field", "value", "sentence"),
    [
        ("name", "", "Enter the role, such as Pastry cook."),
        ("hourly", "-3", "The hourly pay must be 0 or more."),
        ("hourly", "plenty", "Write the hourly pay as a number, such as 24.00."),
        ("on_cost", "400", "The payroll taxes and benefits must be 300 or less."),
    ],
)
def test_wrong_pay_is_named_and_shown_again(owner, field, value, sentence):
    submitted = {"name": "Baker", "hourly": "24.75", "on_cost": "12.5"} | {field: value}
    response = owner.post(reverse("kitchen-roles-new"), submitted)
    assert text(response).count(sentence) == 2
    assert shows(response, value) or not value
    assert not Role.objects.filter(name="Baker").exists()


def test_work_that_is_needed_is_not_deleted_and_says_by_what(owner):
    role = Role.objects.get(code="pastry")
    page = text(owner.get(reverse("kitchen-roles-edit", args=[role.pk])))
    assert "Used by the recipe Lemon set cream" in page
    assert "Delete" not in page
    response = owner.post(reverse("kitchen-roles-delete", args=[role.pk]))
    assert response.status_code == 409
    assert "“pastry” is used by the recipe Lemon set cream, the recipe Pear compote" in text(response)
    assert Role.objects.filter(pk=role.pk).exists()


def test_who_drives_is_needed_by_delivery(owner):
    with refused(InUse, match="delivery"):
        role_delete(role_id=Role.objects.get(code="driver").pk)


def test_work_that_nothing_needs_is_deleted(owner):
    role = role_save(role_id=None, name="Help", hourly=Decimal(17), on_cost=Decimal(0))
    assert owner.post(reverse("kitchen-roles-delete", args=[role.pk])).status_code == 302
    assert not Role.objects.filter(pk=role.pk).exists()
    assert owner.post(reverse("kitchen-roles-delete", args=[role.pk])).status_code == 404
    with pytest.raises(ChangedMeanwhile):
        role_save(role_id=role.pk, name="Help", hourly=Decimal(17), on_cost=Decimal(0))


STATION = {
    "name": "Deck oven",
    "kind": "oven",
    "monthly_hours": "150",
    "hourly": "",
    "places": "8",
    "air_c": "",
    "air": "still",
}


def test_a_station_takes_its_rate_from_the_monthly_figures(owner):
    owner.post(reverse("kitchen-stations-new"), STATION)
    station = Station.objects.get(code="deck-oven")
    overhead_save(
        monthly_labor_hours=None,
        monthly_orders=None,
        per_labor_hour=None,
        per_order=None,
        costs=[MonthlyCost(name="Power", amount="690", carrier="station", station=station)],
    )
    assert book_json()["stations"]["deck-oven"]["hourly"] == "4.6000"
    page = text(owner.get(reverse("kitchen-stations")))
    assert "Power 690 ÷ 150 hours per month = 4.6" in page
    save_edit(owner, reverse("kitchen-stations-edit", args=[station.pk]), STATION | {"hourly": "5"})
    assert book_json()["stations"]["deck-oven"]["hourly"] == "5"


def test_a_refrigerators_air_is_entered_in_the_kitchens_degrees(owner):
    cold = {**STATION, "name": "Cold", "kind": "refrigerator", "air_c": "37.4 °F"}
    owner.post(reverse("kitchen-stations-new"), cold)
    station = Station.objects.get(name="Cold")
    assert station.air_c == 3
    assert shows(owner.get(reverse("kitchen-stations-edit", args=[station.pk])), "37.4")


@pytest.mark.parametrize(
    ("field", "value", "sentence"),
    [
        ("name", "", "Enter a name, such as Deck oven."),
        ("kind", "furnace", "Choose one of the offered entries for “Kind”"),
        ("monthly_hours", "0", "The monthly hours of use must be more than 0."),
        ("places", "2.5", "Write the places as a whole number, such as 12."),
        ("air_c", "-400", "is not possible"),
    ],
)
def test_a_wrong_station_is_named_and_shown_again(owner, field, value, sentence):
    response = owner.post(reverse("kitchen-stations-new"), STATION | {"name": "Rack"} | {field: value})
    assert text(response).count(sentence) == 2
    assert not Station.objects.filter(name="Rack").exists()


def test_a_station_that_is_needed_is_not_deleted(owner):
    oven = Station.objects.get(code="oven")
    assert "the product Honey custard tart, 24 cm" in text(
        owner.post(reverse("kitchen-stations-delete", args=[oven.pk]))
    )
    spare = station_save(
        station_id=None, name="Spare", kind="oven", monthly_hours=None, hourly=None, places=None, air_c=None
    )
    MonthlyCost.objects.create(name="Lease", amount="50", carrier="station", station=spare)
    with refused(InUse, match="the monthly figure Lease"):
        station_delete(station_id=spare.pk)
    MonthlyCost.objects.all().delete()
    station_delete(station_id=spare.pk)


def overhead(*costs, **values):
    figures = {"monthly_labor_hours": "320", "monthly_orders": "24", "per_labor_hour": "", "per_order": ""}
    return figures | values | rows("costs", *costs)


RENT = {"name": "Rent", "amount": "2,450", "carrier": "labour"}
PHONE = {"name": "Telephone", "amount": "384", "carrier": "order"}
EMPTY = {"name": "", "amount": "", "carrier": "labour"}


def test_monthly_figures_become_rates_and_say_how(owner):
    assert save_edit(owner, reverse("kitchen-overhead"), overhead(RENT, PHONE, EMPTY)).status_code == 302
    assert book_json()["overhead"] == {"per_labour_hour": "7.6563", "per_order": "16.0000"}
    page = text(owner.get(reverse("kitchen-overhead")))
    assert "Rent 2,450 ÷ 320 labor hours per month = 7.6563" in page
    assert shows(owner.get(reverse("kitchen-overhead")), "2450.00")


def test_a_stated_rate_stands_before_the_derived_one_and_shows_both(owner):
    save_edit(owner, reverse("kitchen-overhead"), overhead(RENT, per_labor_hour="9"))
    assert book_json()["overhead"] == {"per_labour_hour": "9"}
    rate = overhead_rates(Kitchen.objects.get())[0]
    assert (rate.value, rate.derived, rate.stated) == (9, Decimal("7.6563"), 9)
    assert rate_shown(rate).formula.startswith("Entered by you. Your monthly costs would give Rent 2,450 ÷ 320")


def test_costs_that_nobody_carries_are_pointed_out(owner):
    save_edit(owner, reverse("kitchen-overhead"), overhead(RENT, monthly_labor_hours=""))
    assert "2,450 per month is in no price: enter the labor hours per month" in text(
        owner.get(reverse("kitchen-overhead"))
    )


def test_rates_follow_what_is_entered_before_it_is_saved(owner):
    response = owner.post(reverse("kitchen-overhead-rates"), overhead(RENT, {**PHONE, "amount": "lots"}))
    assert "Rent 2,450 ÷ 320" in text(response)
    assert not MonthlyCost.objects.exists()


def test_a_station_carries_a_figure(owner):
    oven = Station.objects.get(code="oven")
    power = {"name": "Power", "amount": "690", "carrier": f"station-{oven.pk}"}
    save_edit(owner, reverse("kitchen-overhead"), overhead(power))
    cost = MonthlyCost.objects.get()
    assert (cost.carrier, cost.station) == ("station", oven)


@pytest.mark.parametrize(
    ("row", "sentence"),
    [
        ({**RENT, "amount": ""}, "Enter what Rent costs per month."),
        ({**RENT, "name": ""}, "Enter the name of the cost, such as Rent."),
        ({**RENT, "carrier": "station-999"}, "Choose one of the offered entries for “Allocated to”"),
        ({**RENT, "amount": "-1"}, "The monthly amount must be 0 or more."),
    ],
)
def test_wrong_figures_name_the_row_and_change_nothing(owner, row, sentence):
    response = save_edit(owner, reverse("kitchen-overhead"), overhead(PHONE, row))
    assert f"Row 2: {sentence}" in text(response)
    assert shows(response, "Telephone")
    assert not MonthlyCost.objects.exists()


def test_a_rate_by_the_mile_is_stored_by_the_kilometre_and_reads_back_the_same(owner):
    Kitchen.objects.update(distance="mi")
    role = Role.objects.get(code="driver")
    save_edit(owner, reverse("kitchen-delivery"), {"role": role.pk, "per_km": "0.67", "margin": "25", "tax": ""})
    per_km = Kitchen.objects.get().delivery_per_km
    assert abs(per_km * Decimal("1.609344") - Decimal("0.67")) < Decimal("1e-9")
    assert shows(owner.get(reverse("kitchen-delivery")), "0.67")
    assert book_json()["delivery"]["tax"] == "goods"


def test_a_kitchen_may_not_deliver(owner):
    save_edit(owner, reverse("kitchen-delivery"), {"role": "", "per_km": "", "margin": "", "tax": ""})
    assert "delivery" not in book_json()


def test_delivery_can_be_taxed_on_its_own(owner):
    role, tax = Role.objects.get(code="driver"), TaxCategory.objects.get(code="service")
    save_edit(owner, reverse("kitchen-delivery"), {"role": role.pk, "per_km": "0.4", "margin": "0", "tax": tax.pk})
    assert book_json()["delivery"] == {"role": "driver", "per_km": "0.4", "margin": "0", "tax": "service"}


@pytest.mark.parametrize(
    ("field", "value", "sentence"),
    [
        ("role", "9999", "Choose one of the offered entries for “Driver’s role”"),
        ("margin", "100", "The margin must be 99 or less."),
        ("per_km", "far", "Write the vehicle cost as a number, such as 0.42."),
    ],
)
def test_wrong_delivery_is_named(owner, field, value, sentence):
    response = save_edit(owner, reverse("kitchen-delivery"), {"role": "", "per_km": "0.4", "margin": "1", field: value})
    assert text(response).count(sentence) == 2


PAGES = ("kitchen-roles", "kitchen-stations", "kitchen-overhead", "kitchen-rules", "kitchen-taxes", "kitchen-hours")


@pytest.mark.parametrize("name", PAGES)
def test_a_list_takes_as_many_queries_however_long_it_is(name):
    client = signed_in()
    counts = []
    for book in (example("small"), whole_kitchen(), example("generated-11")):
        taken_over(book)
        with CaptureQueriesContext(connection) as captured:
            assert client.get(reverse(name)).status_code == 200
        counts.append(len(captured))
    # Where dates differ from their weekday, one more: whether anything is promised on them.
    assert set(counts) <= {counts[0], counts[0] + (name == "kitchen-hours")}
