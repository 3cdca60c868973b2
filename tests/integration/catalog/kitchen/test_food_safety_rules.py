"""Which food-safety rule a kitchen chooses, what became of earlier choices, and a limit of its own."""

import json
from decimal import Decimal
from typing import Any

import pytest
from django.db import IntegrityError, transaction
from django.test import Client
from django.urls import reverse

from catalog.book.selectors import book_current
from catalog.book.services import book_import
from catalog.cooling.cycles import rule_of
from catalog.kitchen.models import Kitchen
from catalog.web.access import KITCHEN
from costing.contract import InputErrors, read_whole_book, write_whole_book
from tests.factories import kitchen_make
from tests.integration.catalog.book.forms import whole_kitchen
from tests.integration.catalog.cooling.test_cooling_forms import submitted_again
from tests.integration.catalog.kitchen_pages import PROFILE, shows, signed_in, text
from tests.integration.forms_on_pages import save_edit

pytestmark = pytest.mark.django_db
LIMIT = {"time_out_minutes": "2 h", "time_out_source": "Our food safety plan, March 2026"}


@pytest.fixture
def owner() -> Client:
    kitchen_make()
    return signed_in()


def saved(owner: Client, **more: str) -> Any:
    return save_edit(owner, reverse("kitchen-profile"), PROFILE | more)


def offered(owner: Client) -> list[str]:
    form = owner.get(reverse("kitchen-profile")).context["form"]
    return [code for code, _ in form.fields["food_safety"].choices]


class TestChoice:
    def test_each_country_and_nation_is_chosen_by_itself(self, owner: Client) -> None:
        assert offered(owner) == [code for code in Kitchen.FoodSafety.values if code not in ("anz", "uk")]

    @pytest.mark.parametrize("code", ["anz", "uk"])
    def test_an_earlier_choice_stays_and_its_owner_reads_what_changed(self, owner: Client, code: str) -> None:
        Kitchen.objects.update(food_safety=code)
        assert code in offered(owner)
        wording = text(owner.get(reverse("kitchen-profile")))
        assert "Your rule was divided." in wording
        assert "Until you choose one, the strictest limits of all of them are used." in wording
        again = submitted_again(owner, reverse("kitchen-profile"))
        assert save_edit(owner, reverse("kitchen-profile"), again).status_code == 302
        assert Kitchen.objects.get().food_safety == code

    def test_the_owners_day_asks_for_a_choice_until_there_is_one(self, owner: Client) -> None:
        Kitchen.objects.update(food_safety="uk")
        assert "Your food-safety rule was divided." in text(owner.get(reverse("day")))
        assert "was divided" not in text(signed_in(KITCHEN).get(reverse("day")))
        Kitchen.objects.update(food_safety="uk-wa")
        assert "was divided" not in text(owner.get(reverse("day")))

    def test_who_chose_canada_reads_that_it_is_a_model_code(self, owner: Client) -> None:
        Kitchen.objects.update(food_safety="ca")
        wording = text(owner.get(reverse("kitchen-profile")))
        assert "“Canada” is the model code of 2016, which is not law by itself; its limits are as before." in wording

    def test_who_chose_one_rule_reads_nothing_of_it(self, owner: Client) -> None:
        assert "was divided" not in text(owner.get(reverse("kitchen-profile")))


class TestBook:
    @pytest.mark.parametrize("code", Kitchen.FoodSafety.values)
    def test_a_book_with_any_code_of_then_or_now_is_taken_over_and_written_back(self, code: str) -> None:
        document = whole_kitchen()
        document["kitchen"]["profile"]["food_safety"] = code
        book_import(data=json.dumps(document).encode())
        assert Kitchen.objects.get().food_safety == code
        assert rule_of(book_current().kitchen.described).title
        assert write_whole_book(book_current())["kitchen"]["profile"].get("food_safety", "us") == code

    def test_a_limit_of_the_house_is_in_the_book_with_its_source(self, owner: Client) -> None:
        saved(owner, food_safety="eu", **LIMIT)
        profile = write_whole_book(book_current())["kitchen"]["profile"]
        assert (profile["time_out_minutes"], profile["time_out_source"]) == (120, LIMIT["time_out_source"])
        assert rule_of(book_current().kitchen.described).most_out == 120

    @pytest.mark.parametrize(
        ("limit", "place"),
        [({"time_out_minutes": 120}, "time_out_source"), ({"time_out_source": "A plan"}, "time_out_minutes")],
    )
    def test_a_book_with_one_of_the_two_is_refused(self, limit: dict[str, Any], place: str) -> None:
        document = whole_kitchen()
        profile = document["kitchen"]["profile"]
        document["kitchen"]["profile"] = {key: profile[key] for key in profile if key not in LIMIT} | limit
        with pytest.raises(InputErrors) as refused:
            read_whole_book(document)
        (error,) = refused.value.errors
        assert error.at == f"book#/kitchen/profile/{place}"
        assert "written with its source" in error.message


class TestLimitOfTheHouse:
    def test_it_is_kept_and_shown_as_it_was_written(self, owner: Client) -> None:
        assert saved(owner, food_safety="eu", **LIMIT).status_code == 302
        home = Kitchen.objects.get()
        assert (home.time_out_minutes, home.time_out_source) == (120, LIMIT["time_out_source"])
        page = owner.get(reverse("kitchen-profile"))
        assert shows(page, "2 h")
        again = submitted_again(owner, reverse("kitchen-profile"))
        assert save_edit(owner, reverse("kitchen-profile"), again).status_code == 302
        assert Kitchen.objects.get().time_out_minutes == 120

    @pytest.mark.parametrize(
        ("more", "sentence"),
        [
            ({"time_out_minutes": "2 h"}, "Enter where this limit comes from, or empty the time."),
            (
                {"time_out_source": "A plan"},
                "Enter the longest time out of the cold, such as 2 h, or empty its source.",
            ),
            (LIMIT | {"time_out_source": "x"}, "Write whose limit this is, and where it stands"),
            (LIMIT | {"time_out_source": "because"}, "Write whose limit this is, and where it stands"),
            (LIMIT | {"time_out_minutes": "7 h"}, "must be from 1 min to 6 h"),
            (LIMIT | {"time_out_minutes": "0 min"}, "must be from 1 min to 6 h"),
            (LIMIT | {"time_out_minutes": "soon"}, "Write the longest time out of the cold as 45 min, 1 h 30 min"),
            (LIMIT | {"food_safety": "us", "time_out_minutes": "4 h"}, "The rule you chose allows 4 h by itself."),
        ],
    )
    def test_each_mistake_names_the_fix_and_what_was_entered_stays(
        self, owner: Client, more: dict[str, str], sentence: str
    ) -> None:
        page = saved(owner, **({"food_safety": "eu", "phone": "555 0199"} | more))
        assert sentence in text(page)
        assert shows(page, "555 0199")
        assert all(shows(page, more[key]) for key in LIMIT if key in more)
        assert Kitchen.objects.get().time_out_minutes is None

    def test_a_stricter_one_than_the_rules_is_taken(self, owner: Client) -> None:
        assert saved(owner, food_safety="us", **LIMIT).status_code == 302
        assert rule_of(book_current().kitchen.described).most_out == 120

    @pytest.mark.parametrize(
        "columns", [{"time_out_minutes": 120}, {"time_out_source": "A plan"}, {"time_out_minutes": 0}], ids=str
    )
    def test_the_database_keeps_the_two_together(self, owner: Client, columns: dict[str, Any]) -> None:
        with pytest.raises(IntegrityError), transaction.atomic():
            Kitchen.objects.update(**columns)


def test_new_zealand_asks_for_the_rooms_temperature_in_a_cool_kitchen() -> None:
    kitchen_make(food_safety="nz", room_c=Decimal(18))
    assert [leg.to_c for leg in rule_of(book_current().kitchen.described).legs] == [18, 5]
