"""The data for labels: no cell is empty because nobody checked, and a statement to print as it is."""

import csv

import pytest
from django.urls import reverse

from catalog.book.revision import catalog_changed
from catalog.kitchen.models import Kitchen
from catalog.pantry.models import Ingredient
from orders.approvals.services import ApprovalEvidence, quote_ask_change
from orders.orders.models import Order
from orders.production.labels import HEADS
from orders.quotes.draft.dessert_table import TableExtra
from tests.factories import EVENT, extra_make, kitchen_make, table_make
from tests.integration.catalog.kitchen_pages import signed_in
from tests.integration.orders.builders import order_make

pytestmark = pytest.mark.django_db
CAKE, SQUARE = "Walnut sponge cake, two tiers", "Quince square"


@pytest.fixture(autouse=True)
def kitchen() -> None:
    kitchen_make()


def rows() -> dict[str, dict[str, str]]:
    answer = signed_in("kitchen").get(f"{reverse('sheet-labels')}?first={EVENT.date()}&last={EVENT.date()}")
    return {row["Dessert"]: row for row in csv.DictReader(answer.content.decode("utf-8-sig").splitlines())}


def unchecked(*codes: str) -> None:
    Ingredient.objects.filter(code__in=codes).update(allergens=[], allergen_answers={})
    catalog_changed()


def test_new_columns_come_last() -> None:
    assert HEADS[-3:] == ("Statement", "Not for guests", "Serve by")
    assert HEADS[:7] == ("Order", "Customer", "Handed over", "Dessert", "Pieces", "Contains", "May contain")


def test_what_nobody_checked_reads_as_that_in_every_cell() -> None:
    walnut = Ingredient.objects.get(code="walnut")
    walnut.allergen_answers["almonds"] = "may"
    walnut.save()
    catalog_changed()
    order_make()
    unchecked("milk", "saffron", "sugar", "quince")
    found = rows()
    glass = found["Saffron rice cream with quince, glass"]
    assert (glass["Contains"], glass["May contain"]) == (
        "milk; others not checked yet: ask us",
        "not checked yet: ask us",
    )
    cake = found[CAKE]
    assert cake["Contains"] == "eggs, milk and walnuts; others not checked yet: ask us"
    assert cake["May contain"] == "almonds; others not checked yet: ask us"
    assert cake["Statement"].startswith("Contains eggs, milk and walnuts. May contain almonds. ")
    assert "not checked yet: ask us." in cake["Statement"]


def test_what_was_checked_stays_as_it_was_with_the_statement_of_the_quote() -> None:
    order_make()
    cake = rows()[CAKE]
    assert (cake["Contains"], cake["May contain"]) == ("eggs, milk and walnuts", "")
    assert cake["Statement"].startswith("Contains eggs, milk and walnuts.")


def test_it_names_the_guests_it_is_not_for_by_todays_answers() -> None:
    order_make(allergies=("tree-nuts", "peanuts"), need_counts={"tree-nuts": 2, "peanuts": 1})
    found = rows()
    assert found[CAKE]["Not for guests"] == "2 guests: tree nuts (contains walnuts)"
    assert found[SQUARE]["Not for guests"] == ""


def test_a_change_reaches_statement_and_guests() -> None:
    order_make(allergies=("peanuts",), need_counts={"peanuts": 1})
    Ingredient.objects.filter(code="walnut").update(allergens=["walnuts", "peanuts"])
    catalog_changed()
    cake = rows()[CAKE]
    assert "peanuts" in cake["Statement"]
    assert cake["Not for guests"] == "1 guest: peanuts (contains peanuts)"


def test_an_extra_nobody_asked_about_is_not_checked() -> None:
    stand = extra_make()
    fruit = TableExtra("Fruit platter", 900, 2900, stand.tax_id, stand.tax_code, food="")
    order_make(table=table_make(extras=(fruit,)), allergies=("peanuts",), unchecked=("extra-1",))
    row = rows()["Fruit platter"]
    assert (row["Contains"], row["May contain"]) == ("not checked yet: ask us", "not checked yet: ask us")
    assert "not checked yet: ask us." in row["Statement"]
    assert row["Not for guests"] == "peanuts (not checked yet)"


def test_a_need_that_the_kitchen_note_names_stands_beside_each_dessert() -> None:
    order = order_make()
    Order.objects.filter(pk=order.pk).update(note="Two more coming, 1 with a peanut allergy.")
    words = "The kitchen note may name what a guest cannot eat: “Two more coming, 1 with a peanut allergy.”"
    assert all(words in row["Not for guests"] for row in rows().values())


def test_and_another_kitchen_note_does_not() -> None:
    order = order_make()
    Order.objects.filter(pk=order.pk).update(note="Leave it at the side door.")
    assert not any("kitchen note" in row["Not for guests"] for row in rows().values())


def test_every_message_that_waits_is_named_where_one_may_name_a_need() -> None:
    order = order_make(allergies=())
    wrote = ("Anna gets hives from peanuts.", "We moved the table to the barn.", "See you on Saturday.")
    for words in wrote:
        quote_ask_change(quote_id=order.quote_id, text=words, evidence=ApprovalEvidence(), at=EVENT)
    cell = rows()[CAKE]["Not for guests"]
    assert all(words in cell for words in wrote)


def test_plain_messages_alone_are_none_of_a_labels() -> None:
    order = order_make(allergies=())
    quote_ask_change(
        quote_id=order.quote_id, text="We moved the table to the barn.", evidence=ApprovalEvidence(), at=EVENT
    )
    assert "barn" not in rows()[CAKE]["Not for guests"]


def test_where_numbers_have_a_decimal_comma_semicolons_are_between_the_cells() -> None:
    Kitchen.objects.update(locale="de_DE")
    order_make()
    answer = signed_in("kitchen").get(f"{reverse('sheet-labels')}?first={EVENT.date()}&last={EVENT.date()}")
    rows = list(csv.DictReader(answer.content.decode("utf-8-sig").splitlines(), delimiter=";"))
    assert CAKE in [row["Dessert"] for row in rows]
