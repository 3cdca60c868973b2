"""Starter figures: one page of plain questions makes what a price needs, and never touches what is there."""

from datetime import date, time
from decimal import Decimal

import pytest
from django.test import Client
from django.utils import timezone

from catalog.kitchen.models import Kitchen, OpenHours
from catalog.price_rules.models import PriceRule
from catalog.rates.models import MonthlyCost, Role, Station
from catalog.rates.overhead import overhead_rates
from catalog.taxes.models import TaxCategory, TaxRate
from tests.factories import user_make

pytestmark = pytest.mark.django_db
PAGE = "/kitchen/figures/"
ANSWERS = {
    "tax_rate": "8.25", "hourly": "22", "margin": "50", "rent": "900", "other": "360", "hours": "120", "orders": "12",
    "weekdays": ["1", "2", "5"], "opens": "7 am", "closes": "3:30 pm", "oven": "on", "refrigerator": "on",
    "refrigerator_c": "39", "delivers": "on", "per_km": "0.65",
}  # fmt: skip


@pytest.fixture
def owner(client: Client) -> Client:
    Kitchen.objects.create(pk=1, name="Small kitchen", email="kitchen@example.org")
    client.force_login(user_make())
    return client


def test_one_post_makes_what_a_price_needs(owner: Client) -> None:
    assert "Your figures are saved." in owner.post(PAGE, ANSWERS, follow=True).content.decode()
    assert TaxRate.objects.get().rate == Decimal("0.0825")
    assert TaxRate.objects.get().starts == date(timezone.localdate().year, 1, 1)
    assert Role.objects.get().hourly == 22
    assert PriceRule.objects.get().margin == Decimal("0.5")
    assert list(OpenHours.objects.values_list("weekday", "opens", "closes")) == [
        (day, time(7), time(15, 30)) for day in (1, 2, 5)
    ]
    assert dict(MonthlyCost.objects.values_list("name", "carrier")) == {
        "Rent and energy": "labour",
        "Other monthly costs": "order",
    }
    cold = Station.objects.get(kind="refrigerator").air_c
    assert cold == pytest.approx(Decimal("3.8889"), abs=Decimal("0.001"))
    assert Station.objects.filter(kind="oven").count() == 1
    home = Kitchen.objects.get()
    assert home.delivery_role == Role.objects.get()
    assert home.delivery_per_km == (Decimal("0.65") if home.distance == "km" else home.delivery_per_km)


def test_the_rates_follow_from_the_four_questions(owner: Client) -> None:
    owner.post(PAGE, ANSWERS)
    home = Kitchen.objects.get()
    assert (home.monthly_labor_hours, home.monthly_orders) == (120, 12)
    rates = {rate.per: rate.value for rate in overhead_rates(home)}
    assert (rates["labour"], rates["order"]) == (Decimal("7.5"), 30)  # 900 / 120 and 360 / 12


def test_what_is_not_answered_is_not_made(owner: Client) -> None:
    owner.post(PAGE, {"tax_rate": "0", "hourly": "22", "margin": "50"})
    assert TaxCategory.objects.get().untdid == "Z"
    assert not MonthlyCost.objects.exists()
    assert not OpenHours.objects.exists()
    assert not Station.objects.exists()


def test_what_is_there_is_neither_asked_nor_changed(owner: Client) -> None:
    owner.post(PAGE, ANSWERS)
    page = owner.get(PAGE).content.decode()
    assert "All of them are there." in page
    owner.post(PAGE, ANSWERS | {"hourly": "99", "tax_rate": "1"})
    assert Role.objects.get().hourly == 22
    assert TaxRate.objects.count() == 1


@pytest.mark.parametrize(
    ("changed", "sentence"),
    [
        ({"tax_rate": ""}, "Enter the tax rate"),
        ({"hourly": "much"}, "the pay"),
        ({"margin": "120"}, "99"),
        ({"hours": ""}, "Enter the hours too"),
        ({"orders": "", "rent": "", "hours": ""}, "Enter the hours too"),
        ({"closes": ""}, "Enter both times, or none."),
        ({"closes": "6 am"}, "Enter an end after the start."),
        ({"weekdays": []}, "Choose the days of these hours"),
        ({"per_km": ""}, "Enter what the vehicle costs"),
        ({"refrigerator_c": "95"}, "must be from 23 to 50 °F"),
    ],
)
def test_what_does_not_fit_is_named_and_nothing_entered_is_lost(
    owner: Client, changed: dict[str, str | list[str]], sentence: str
) -> None:
    page = owner.post(PAGE, ANSWERS | changed)
    assert page.status_code == 422
    assert sentence in page.content.decode()
    assert not TaxCategory.objects.exists()
    if "other" not in changed:
        assert 'value="360"' in page.content.decode()


def test_without_a_kitchen_the_kitchen_comes_first(client: Client) -> None:
    client.force_login(user_make())
    page = client.get(PAGE, follow=True)
    assert "Enter your kitchen’s name and country first." in page.content.decode()
    assert client.post(PAGE, ANSWERS).status_code == 302
    assert not Role.objects.exists()


@pytest.mark.parametrize(("degrees", "value", "words"), [("F", "39", "below 39.2 °F"), ("C", "3.9", "below 4 °C")])
def test_in_the_refrigerator_that_is_proposed_food_gets_cold(
    owner: Client, degrees: str, value: str, words: str
) -> None:
    """Air 1 °C warmer is still below the 5 °C (41 °F) that rules ask for."""
    Kitchen.objects.update(degrees=degrees)
    page = owner.get(PAGE).content.decode()
    assert f'name="refrigerator_c" value="{value}"' in page
    assert words in page
    owner.post(PAGE, ANSWERS | {"refrigerator_c": value})
    assert (Station.objects.get(kind="refrigerator").air_c or 9) + 1 < 5
