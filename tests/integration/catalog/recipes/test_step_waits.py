"""How long a step takes and how long is waited after it are two times, and the pages say so."""

import pytest
from django.urls import reverse

from tests.factories import kitchen_make
from tests.integration.catalog.editor_forms import recipe_form_data
from tests.integration.catalog.kitchen_pages import signed_in, text

pytestmark = pytest.mark.django_db


def _sent(**step: str) -> dict[str, str]:
    lines = [("1 kg", "Granulated sugar")]
    return recipe_form_data(lines, steps=[step])


def test_one_stay_in_the_cold_entered_twice_is_asked_about() -> None:
    kitchen_make()
    entered = {"name": "Cool", "kind": "chill", "minutes": "4 h", "wait_min": "4 h"}
    page = signed_in().post(reverse("recipe-new"), _sent(**entered))
    assert page.status_code == 422
    assert "The shortest wait is added to the total time: 4 h, and then 4 h more." in text(page)


def test_a_wait_after_the_total_time_is_said_to_come_after_it() -> None:
    kitchen_make()
    entered = {"name": "Cool", "kind": "chill", "minutes": "4 h", "wait_min": "1 h"}
    page = text(signed_in().post(reverse("recipe-new"), _sent(**entered), follow=True))
    assert "Takes 4 h in total." in page
    assert "Then wait at least 1 h more." in page
