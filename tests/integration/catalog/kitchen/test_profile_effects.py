"""What a change of the profile does to the catalog is said before it is saved; a new one is written as its country."""

from typing import Any

import pytest
from django.urls import reverse

from catalog.kitchen.models import Kitchen
from catalog.pantry.models import Ingredient
from tests import factories
from tests.integration.catalog.kitchen_pages import PROFILE, signed_in, text
from tests.integration.forms_on_pages import forms_of

pytestmark = pytest.mark.django_db
ADDRESS = "kitchen-profile"


def submitted(page: Any) -> dict[str, str]:
    """Return what a browser sends of the profile's form."""
    form = next(form for form in forms_of(page) if "price_step" in form.fields)
    return {name: values[0] for name, values in form.fields.items()}


def test_another_list_of_allergens_says_what_it_asks_anew_before_it_is_saved() -> None:
    factories.kitchen_make(allergen_list="us")
    client = signed_in()
    for row in Ingredient.objects.filter(code__in=("flour", "butter")):
        row.allergen_answers = {code: answer for code, answer in row.allergen_answers.items() if code != "celery"}
        row.save()
    fields = submitted(client.get(reverse(ADDRESS)))
    changed = fields | {"country": "DE", "allergen_list": "eu", "food_safety": "eu"}
    page = client.post(reverse(ADDRESS), changed)
    assert page.status_code == 200
    words = (
        "Not saved yet. The other list of allergens also asks about celery: 2 ingredients are then not checked for it"
    )
    assert words in text(page)
    assert Kitchen.objects.get().allergen_list == "us"
    again = submitted(page)
    assert client.post(reverse(ADDRESS), again).status_code == 302
    assert Kitchen.objects.get().allergen_list == "eu"


def test_a_change_that_does_nothing_to_the_catalog_is_saved_at_once() -> None:
    factories.kitchen_make()
    client = signed_in()
    fields = submitted(client.get(reverse(ADDRESS)))
    assert client.post(reverse(ADDRESS), fields | {"phone": "555 0100"}).status_code == 302


def test_a_new_german_kitchen_is_written_and_read_as_germany_writes() -> None:
    client = signed_in()
    page = client.get(reverse(ADDRESS), {"country": "DE"})
    fields = submitted(page)
    assert (fields["price_step"], fields["order_minimum"]) == ("0,05", "0,00")
    assert "0,25 makes 4,13 into 4,25" in text(page)
    entered = {"name": "Quitte", "email": "k@quitte.example", "order_minimum": "1.000", "price_step": "0,10"}
    entered |= {"time_out_minutes": "1,5 Std", "time_out_source": "Hygieneplan"}
    assert client.post(reverse(ADDRESS), fields | entered).status_code == 302
    home = Kitchen.objects.get()
    assert (home.order_minimum, str(home.price_step), home.time_out_minutes) == (1000, "0.10", 90)


def test_a_country_chosen_on_the_page_writes_what_was_entered_as_it_writes() -> None:
    client = signed_in()
    entered = PROFILE | {"country": "DE", "order_minimum": "1,250", "price_step": "0.05"}
    fields = submitted(client.post(reverse(ADDRESS), entered | {"do": "usual", "written_in": "en_US"}))
    assert (fields["order_minimum"], fields["price_step"]) == ("1250,00", "0,05")
    assert client.post(reverse(ADDRESS), fields).status_code == 302
    assert Kitchen.objects.get().order_minimum == 1250
