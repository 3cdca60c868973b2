"""What is written of an approval that nobody clicked, and of marks that are folded, says nothing empty or twice."""

import pytest
from django.template.loader import render_to_string
from django.urls import reverse

from tests.integration.catalog.kitchen_pages import signed_in, text
from tests.integration.orders.builders import order_make

pytestmark = pytest.mark.django_db


def test_an_approval_without_a_button_names_none() -> None:
    page = text(signed_in("owner").get(reverse("quote", args=[order_make().quote_id])))
    assert "Content " in page
    assert "Button: “”" not in page


def test_a_folded_mark_does_not_say_twice_what_it_is_about() -> None:
    mark = {"kind": "stop", "name": "Custard", "sentence": "Not cold in time by its steps."}
    assert "Cooling." in render_to_string("orders/cooling_log/mark.html", {"mark": mark})
    assert "Cooling." not in render_to_string("orders/cooling_log/mark.html", {"mark": mark, "bare": True})
