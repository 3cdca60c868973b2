"""Importing a Book and exporting it again loses nothing."""

import json
from typing import Any

import pytest
from django.urls import reverse
from hypothesis import given
from hypothesis import strategies as st
from jsonpatch import apply_patch

from catalog.book.services import book_import, book_text
from catalog.kitchen.models import Kitchen
from catalog.pantry.models import Ingredient, Pack, Supplier
from catalog.products.models import Product
from catalog.rates.models import Role, Station
from catalog.recipes.models import Recipe
from catalog.taxes.models import TaxCategory
from costing.contract import InputErrors, read_book
from tests import factories
from tests.contract.kitchens import any_book
from tests.integration.catalog.book.forms import BOOKS, EXAMPLES, book_json, example, normal, whole_kitchen
from tests.integration.orders.register.test_register import signed_in

pytestmark = pytest.mark.django_db


def taken_over(book: dict[str, Any]) -> dict[str, int]:
    return book_import(data=json.dumps(book).encode())


def exported() -> dict[str, Any]:
    document: dict[str, Any] = json.loads(book_text())
    return document


def refused(book: dict[str, Any]) -> list[tuple[str, str]]:
    with pytest.raises(InputErrors) as caught:
        taken_over(book)
    return [(error.code, error.at) for error in caught.value.errors]


@pytest.mark.parametrize("name", BOOKS)
def test_an_example_comes_out_as_it_went_in(name):
    taken_over(example(name))
    assert normal(exported()) == normal(example(name))


@pytest.mark.parametrize("name", BOOKS)
def test_codes_keep_their_order(name):
    taken_over(example(name))
    for kind in ("roles", "stations", "taxes"):
        assert list(exported()[kind]) == list(example(name)[kind])


@given(seed=st.integers(0, 10**6))
def test_any_book_comes_out_as_it_went_in_and_then_stays_byte_for_byte(seed):
    book = any_book(seed)
    taken_over(book)
    text = book_text()
    assert normal(json.loads(text)) == normal(book)
    taken_over(json.loads(text))
    assert book_text() == text


def test_a_whole_kitchen_comes_out_as_it_went_in():
    taken_over(whole_kitchen())
    assert normal(exported()) == normal(whole_kitchen())


def test_a_whole_kitchen_over_another_one_is_byte_for_byte_the_same():
    taken_over(whole_kitchen())
    text = book_text()
    taken_over(example("generated-11"))
    assert book_text() != text
    taken_over(json.loads(text))
    assert book_text() == text


def test_the_owner_downloads_the_whole_kitchen_and_it_comes_back_the_same():
    taken_over(whole_kitchen())
    owner = signed_in("owner")
    assert reverse("kitchen-export") in owner.get(reverse("spreadsheets")).content.decode()
    answer = owner.get(reverse("kitchen-export"))
    assert ".json" in answer["Content-Disposition"]
    taken_over(example("generated-11"))
    taken_over(json.loads(answer.content))
    assert book_text().encode() == answer.content


def test_amounts_of_the_payment_schedule_are_stored_in_minor_units():
    taken_over(whole_kitchen())
    home = Kitchen.objects.get()
    assert home.deposit_minor == 50000
    assert home.payments_before == [
        {"days": 60, "share": "0.40"},
        {"days": 30, "amount_minor": 15050},
        {"days": 14},
    ]


def test_amounts_in_a_currency_without_cents_come_out_as_they_went_in():
    rows = [{"days": 9, "amount_minor": 12000}]
    Kitchen.objects.create(
        pk=1, name="Tansy Row", currency="JPY", price_step=1, deposit_minor=50000, payments_before=rows
    )
    document = exported()
    profile = document["kitchen"]["profile"]
    assert (profile["deposit"], profile["payments_before"]) == ("50000", [{"days": 9, "amount": "12000"}])
    taken_over(document)
    home = Kitchen.objects.get()
    assert (home.deposit_minor, home.payments_before) == (50000, rows)


def test_a_plain_book_leaves_where_customers_pay_alone_and_one_with_a_profile_describes_it():
    taken_over(whole_kitchen())
    taken_over(example("small"))
    home = Kitchen.objects.get()
    assert (home.bank_iban, home.deposit_minor, len(home.payments_before)) == ("DE89370400440532013000", 50000, 3)
    book = example("small")
    book["kitchen"]["profile"] = {"name": "Tansy Row Desserts", "email": "kitchen@tansyrow.example"}
    taken_over(book)
    home = Kitchen.objects.get()
    assert (home.bank_iban, home.deposit_minor, home.payments_before) == ("", None, [])


def test_an_exported_book_is_a_book_for_the_engine():
    taken_over(whole_kitchen())
    assert read_book(exported()) == read_book(book_json())


def test_plain_labor_and_station_time_become_plain_steps_in_order():
    taken_over(example("small"))
    steps = Product.objects.get(code="custard-tart-24").steps.all()
    assert [(step.kind, step.role and step.role.code, step.station and step.station.code) for step in steps] == [
        ("work", "pastry", None),
        ("bake", None, "oven"),
        ("chill", None, "cold-room"),
    ]
    assert steps[0].hands_fixed == 12
    assert "steps" not in exported()["products"][1]


def test_a_plain_book_leaves_the_profile_and_hours_alone():
    taken_over(whole_kitchen())
    taken_over(example("small"))
    assert Kitchen.objects.get().name == "Tansy Row Desserts"
    assert exported()["hours"] == whole_kitchen()["hours"]


def test_a_book_with_a_profile_clears_hours_it_does_not_list():
    taken_over(whole_kitchen())
    book = whole_kitchen()
    del book["hours"], book["closed"], book["hand_over_hours"], book["days"]
    taken_over(book)
    assert "hours" not in exported()
    assert not {"closed", "hand_over_hours", "days"} & set(exported())


def test_the_step_that_frees_the_mold_comes_out_as_it_went_in():
    book = whole_kitchen()
    tart = book["products"][1]
    del tart["mold_leaves"], tart["mold_back_days"]
    tart["mold_free_after"] = 3
    taken_over(book)
    assert [step.frees_mold for step in Product.objects.get(code=tart["code"]).steps.all()] == [
        False,
        False,
        True,
        False,
    ]
    assert normal(exported()) == normal(book)


def test_a_plain_book_leaves_the_vehicles_alone_and_one_with_a_profile_clears_them():
    taken_over(whole_kitchen())
    taken_over(example("small"))
    assert exported()["vehicles"] == whole_kitchen()["vehicles"]
    book = whole_kitchen()
    del book["vehicles"]
    taken_over(book)
    assert "vehicles" not in exported()
    assert Kitchen.objects.get().vehicle_cold


def test_vehicles_without_a_profile_decide_whether_the_way_is_cold():
    taken_over(whole_kitchen())
    taken_over(example("small") | {"vehicles": [{"name": "Estate car"}]})
    assert not Kitchen.objects.get().vehicle_cold


@pytest.mark.parametrize(
    "case",
    [case for case in json.loads((EXAMPLES / "errors.json").read_text())["cases"] if case["in"] == "book"
     and case["code"] not in ("no_pack_in_force",)],
    ids=lambda case: f"{case['code']} {case['at']}",
)  # fmt: skip
def test_a_book_with_errors_is_refused_whole(case):
    taken_over(example("small-gross"))
    text, revision = book_text(), Kitchen.objects.get().revision
    errors = refused(apply_patch(example("small"), case["patch"]))
    assert (case["code"], case["at"]) in errors
    assert (book_text(), Kitchen.objects.get().revision) == (text, revision)


WRONG_EXTRAS = [
    (["products", 1, "labour", 0, "per_load"], "13", "schema", "book#/products/1/labour"),
    (["products", 1, "steps", 1, "minutes"], "80", "schema", "book#/products/1/station_time"),
    (["recipes", 0, "steps", 0, "hands_each"], "2", "schema", "book#/recipes/0/labour"),
    (["recipes", 0, "steps", 1, "station"], "cellar", "unknown_station", "book#/recipes/0/steps/1/station"),
    (["recipes", 0, "steps", 1, "minutes"], "-1", "negative_amount", "book#/recipes/0/steps/1/minutes"),
    (["recipes", 0, "steps", 1, "kind"], "pray", "schema", "book#/recipes/0/steps/1/kind"),
    (["products", 1, "mould"], "Bucket", "schema", "book#/products/1/mould"),
    (["stations", "oven", "hourly"], "4.61", "schema", "book#/stations/oven/hourly"),
    (["overhead", "per_labour_hour"], "8.2812", "schema", "book#/overhead/per_labour_hour"),
    (["monthly_costs", 2, "station"], "cellar", "unknown_station", "book#/monthly_costs/2/station"),
    (["monthly_costs", 2, "carrier"], "order", "schema", "book#/monthly_costs/2"),
    (["monthly_costs", 0, "amount"], "-1", "negative_amount", "book#/monthly_costs/0/amount"),
    (["hours", 0, "weekday"], 7, "schema", "book#/hours/0/weekday"),
    (["hours", 0, "opens"], "half six", "schema", "book#/hours/0/opens"),
    (["hours", 0, "closes"], "06:30", "schema", "book#/hours/0/closes"),
    (["hours", 0, "closes"], "12:00+02:00", "schema", "book#/hours/0/closes"),
    (["hours", 0, "hands"], 0, "schema", "book#/hours/0/hands"),
    (["hand_over_hours", 0, "weekday"], 7, "schema", "book#/hand_over_hours/0/weekday"),
    (["hand_over_hours", 0, "closes"], "08:59", "schema", "book#/hand_over_hours/0/closes"),
    (["days", 0, "hands"], 501, "schema", "book#/days/0/hands"),
    (["days", 0, "closes"], "05:00", "schema", "book#/days/0/closes"),
    (["days", 0, "date"], "2027-01-01", "schema", "book#/days/0/date"),
    (["kitchen", "profile", "most_events_per_day"], 0, "schema", "book#/kitchen/profile/most_events_per_day"),
    (["closed", 1, "date"], "2027-01-01", "duplicate_code", "book#/closed/1/date"),
    (["moulds", 1, "name"], "Ring, 24 cm", "duplicate_code", "book#/moulds/1/name"),
    (["moulds", 0, "diameter_cm"], "0", "negative_amount", "book#/moulds/0/diameter_cm"),
    (["kitchen", "profile", "email"], "nobody", "schema", "book#/kitchen/profile/email"),
    (["kitchen", "profile", "deposit_share"], "1.5", "bad_share", "book#/kitchen/profile/deposit_share"),
    (["kitchen", "profile", "quote_valid_days"], -1, "schema", "book#/kitchen/profile/quote_valid_days"),
    (["kitchen", "profile", "time_zone"], "Mars/Base", "schema", "book#/kitchen/profile/time_zone"),
    (["kitchen", "profile", "locale"], "xx_XX", "schema", "book#/kitchen/profile/locale"),
    (["kitchen", "profile", "food_safety"], "moon", "schema", "book#/kitchen/profile/food_safety"),
    (["kitchen", "profile", "room_c"], "51", "schema", "book#/kitchen/profile/room_c"),
    (["kitchen", "profile", "away_c"], "-21", "schema", "book#/kitchen/profile/away_c"),
    (["kitchen", "profile", "vehicle_cold"], "yes", "schema", "book#/kitchen/profile/vehicle_cold"),
    (["stations", "cold-room", "air"], "breeze", "schema", "book#/stations/cold-room/air"),
    (["stations", "cold-room", "air_c"], "501", "schema", "book#/stations/cold-room/air_c"),
    (["moulds", 0, "wall"], "wood", "schema", "book#/moulds/0/wall"),
    (["recipes", 1, "air"], "0.75", "bad_share", "book#/recipes/1/air"),
    (["recipes", 1, "air"], "-0.1", "bad_share", "book#/recipes/1/air"),
    (["recipes", 1, "loss_of"], "salt", "schema", "book#/recipes/1/loss_of"),
    (["recipes", 0, "steps", 0, "leaves_c"], "151", "schema", "book#/recipes/0/steps/0/leaves_c"),
    (["recipes", 0, "steps", 1, "leaves_c"], "20", "schema", "book#/recipes/0/steps/1/leaves_c"),
    (["recipes", 0, "steps", 0, "vessel"], "Bucket", "schema", "book#/recipes/0/steps/0/vessel"),
    (["recipes", 0, "steps", 0, "vessels"], 0, "negative_amount", "book#/recipes/0/steps/0/vessels"),
    (["recipes", 0, "steps", 0, "depth_cm"], "0", "negative_amount", "book#/recipes/0/steps/0/depth_cm"),
    (["recipes", 0, "steps", 0, "ice_bath"], False, "schema", "book#/recipes/0/steps/0/stir_min"),
    (["recipes", 0, "steps", 0, "takes"], ["lemon-curd"], "schema", "book#/recipes/0/steps/0/takes"),
    (["recipes", 0, "steps", 1, "vessel"], "Tub, 6 qt", "schema", "book#/recipes/0/steps/1/vessel"),
    (["products", 1, "steps", 1, "takes"], ["ganache"], "schema", "book#/products/1/steps/1/takes/0"),
    (["products", 1, "steps", 1, "takes"], ["buckwheat-paste"], "schema", "book#/products/1/steps/1/takes/0"),
    (["products", 1, "steps", 1, "takes_c"], "5", "schema", "book#/products/1/steps/1/takes_c"),
    (["products", 1, "steps", 0, "takes_as"], "on top", "schema", "book#/products/1/steps/0/takes_as"),
    (["products", 1, "steps", 1, "vessel"], "Tub, 6 qt", "schema", "book#/products/1/steps/1/vessel"),
    (["vessels", 0, "kind"], "sink", "schema", "book#/vessels/0/kind"),
    (["vessels", 0, "length_cm"], "40", "schema", "book#/vessels/0"),
    (["vessels", 0, "height_cm"], "0", "negative_amount", "book#/vessels/0/height_cm"),
    (["vessels", 1, "name"], "Stock pot", "duplicate_code", "book#/vessels/1/name"),
    (["products", 1, "steps", 1, "leaves_c"], "151", "schema", "book#/products/1/steps/1/leaves_c"),
    (["products", 1, "steps", 1, "leaves_c"], "-6", "schema", "book#/products/1/steps/1/leaves_c"),
    (["products", 1, "steps", 2, "leaves_c"], "20", "schema", "book#/products/1/steps/2/leaves_c"),
    (["products", 1, "stands_on"], "ice", "schema", "book#/products/1/stands_on"),
    (["products", 1, "covered"], 1, "schema", "book#/products/1/covered"),
    (["products", 1, "carried"], "hat", "schema", "book#/products/1/carried"),
    (["products", 1, "cooling_rule"], "raw", "schema", "book#/products/1/cooling_rule"),
    (["ingredients", 1, "composition", "water"], "101", "schema", "book#/ingredients/1/composition/water"),
    (["ingredients", 1, "composition", "water"], "-1", "schema", "book#/ingredients/1/composition/water"),
    (["ingredients", 1, "composition", "water"], "70", "schema", "book#/ingredients/1/composition"),
    (["ingredients", 1, "composition", "alcohol"], "1", "schema", "book#/ingredients/1/composition/alcohol"),
    (["ingredients", 1, "composition"], {"water": "100"}, "schema", "book#/ingredients/1/composition"),
    (["ingredients", 0, "name"], "Cream\0", "schema", "book#/ingredients/0/name"),
    (["products", 0, "name"], "\ud800", "schema", "book#/products/0/name"),
    (["colour"], "blue", "schema", "book#/colour"),
    (["kitchen", "profile", "time_out_source"], "x", "schema", "book#/kitchen/profile/time_out_source"),
    (["kitchen", "profile", "time_out_source"], "n/a", "schema", "book#/kitchen/profile/time_out_source"),
    (
        ["kitchen", "profile", "payments_before", 1, "days"],
        60,
        "schema",
        "book#/kitchen/profile/payments_before/1/days",
    ),
    (["kitchen", "profile", "bank_iban"], "DE89370400440532013001", "schema", "book#/kitchen/profile/bank_iban"),
    (["kitchen", "profile", "bank_iban"], "DE89 3704 0044 0532 0130 00", "schema", "book#/kitchen/profile/bank_iban"),
    (["kitchen", "profile", "bank_iban"], "", "schema", "book#/kitchen/profile/bank_bic"),
    (["kitchen", "profile", "bank_bic"], "MERRDEF", "schema", "book#/kitchen/profile/bank_bic"),
    (["kitchen", "profile", "bank_routing"], "111000026", "schema", "book#/kitchen/profile/bank_routing"),
    (["kitchen", "profile", "bank_routing"], "", "schema", "book#/kitchen/profile/bank_account"),
    (["kitchen", "profile", "bank_account"], "12a4", "schema", "book#/kitchen/profile/bank_account"),
    (["kitchen", "profile", "bank_account"], "", "schema", "book#/kitchen/profile/bank_routing"),
    (["kitchen", "profile", "bank_holder"], " ", "schema", "book#/kitchen/profile/bank_iban"),
    (["kitchen", "profile", "payment_page"], "http://pay.example/me", "schema", "book#/kitchen/profile/payment_page"),
    (["kitchen", "profile", "payment_page"], "https://pay.example/{x}", "schema", "book#/kitchen/profile/payment_page"),
]


@pytest.mark.parametrize(("path", "value", "code", "at"), WRONG_EXTRAS, ids=lambda item: str(item)[:50])
def test_optional_keys_are_checked_too(path, value, code, at):
    book = whole_kitchen()
    place: Any = book
    for step in path[:-1]:
        place = place[step]
    place[path[-1]] = value
    assert (code, at) in refused(book)
    assert not Ingredient.objects.exists()


def test_missing_labor_beside_steps_is_an_error_at_the_product():
    book = whole_kitchen()
    del book["products"][1]["labour"]
    assert ("schema", "book#/products/1") in refused(book)


def test_what_the_book_lacks_goes():
    taken_over(whole_kitchen())
    taken_over(example("generated-11"))
    assert set(Product.objects.values_list("code", flat=True)) == {
        product["code"] for product in example("generated-11")["products"]
    }
    assert set(Role.objects.values_list("code", flat=True)) == set(example("generated-11")["roles"])
    assert set(TaxCategory.objects.values_list("code", flat=True)) == set(example("generated-11")["taxes"])
    assert not Supplier.objects.filter(name="Merrin Dairy").exists()
    assert not Pack.objects.filter(ingredient__code="cream").exists()


def test_what_keeps_its_code_keeps_its_row():
    taken_over(example("small"))
    before = dict(Product.objects.values_list("code", "pk"))
    taken_over(whole_kitchen())
    assert dict(Product.objects.values_list("code", "pk")) == before


def test_what_quotes_name_stays_and_is_marked_as_no_longer_used():
    factories.kitchen_make()
    quote = factories.draft_make()
    named = set(quote.lines.values_list("product__code", flat=True))
    taken_over(example("small"))
    remaining = Product.objects.exclude(code__in=[product["code"] for product in example("small")["products"]])
    assert set(remaining.values_list("code", flat=True)) == named
    assert not remaining.filter(active=True).exists()
    # What the kept products are made of stays with them, so that the draft can still be priced.
    assert set(Recipe.objects.filter(fills__product__in=remaining).values_list("active", flat=True)) <= {False}
    assert read_book(book_json())
    assert [line["code"] for line in exported()["products"][:3]] == [p["code"] for p in example("small")["products"]]


def test_a_book_that_does_not_fit_beside_what_is_kept_is_refused_whole():
    factories.kitchen_make()
    quote = factories.draft_make()
    product = quote.lines.first().product
    line = product.fills.first().recipe.lines.filter(ingredient__isnull=False).first()
    line.amount = "1 cup"
    line.save()
    Ingredient.objects.filter(pk=line.ingredient_id).update(density="1")
    text = book_text()
    book = example("generated-11")
    book["ingredients"].append({"code": line.ingredient.code, "name": "Without a density"})
    assert ("no_density", "book#") in refused(book)
    assert book_text() == text


def test_an_empty_catalog_comes_out_too():
    assert exported()["ingredients"] == []
    book = {"format": "coldset-book/1", "currency": "JPY", "kitchen": {"price_step": "10"}, "roles": {}} | {
        "stations": {},
        "taxes": {},
    }
    taken_over(book)
    assert normal(exported()) == normal(book)
    assert not Station.objects.exists()
