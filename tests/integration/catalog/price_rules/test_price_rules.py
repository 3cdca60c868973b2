"""Price rules in their order of precedence."""

import pytest
from django.urls import reverse

from catalog.price_rules.models import PriceRule
from catalog.price_rules.presenters import rules_shown
from catalog.price_rules.selectors import covers_everything, rule_rows
from catalog.price_rules.services import rule_delete
from catalog.products.models import Product
from tests.integration.catalog.book.forms import book_json, example
from tests.integration.catalog.book.test_book import taken_over
from tests.integration.catalog.kitchen_pages import shows, signed_in, text
from tests.integration.forms_on_pages import save_edit

pytestmark = pytest.mark.django_db


@pytest.fixture
def owner():
    taken_over(example("small"))
    return signed_in()


RULE = {
    "name": "",
    "product": "",
    "category": "",
    "customer_kind": "",
    "from_units": "",
    "margin": "58",
    "minimum": "",
}


def test_rules_stand_in_the_order_they_win(owner):
    taken = {row.rule.code: row for row in rules_shown(rule_rows())}
    assert list(taken) == ["planner", "tart", "portion-60", "portion", "house"]
    assert taken["portion-60"].words == "category portion, from 60 units"
    assert taken["planner"].words == "everything, for event planners"
    page = text(owner.get(reverse("kitchen-rules")))
    assert "Category portion, from 60 units 54.0% 117.4%" in page
    assert "60.0% 150.0% $4.00" in page
    assert "no rule fits everything" not in page


def test_without_a_rule_for_everything_the_page_says_what_that_means(owner):
    rule_delete(rule_id=PriceRule.objects.get(code="house").pk)
    assert not covers_everything(rule_rows())
    assert "Note: no rule applies to everything." in text(owner.get(reverse("kitchen-rules")))


def test_a_rule_for_a_category_without_products_is_pointed_out(owner):
    PriceRule.objects.filter(code="portion").update(category="portions")
    assert "No product is in this category." in text(owner.get(reverse("kitchen-rules")))


def test_a_new_rule_stands_in_the_book(owner):
    tart = Product.objects.get(code="custard-tart-24")
    submitted = RULE | {"product": tart.pk, "customer_kind": "venue", "from_units": "12", "margin": "52.5%"}
    owner.post(reverse("kitchen-rules-new"), submitted | {"minimum": "$44", "name": "Venues' tart"})
    assert book_json()["price_rules"][-1] == {
        "code": "venues-tart",
        "product": "custard-tart-24",
        "customer_kind": "venue",
        "from_units": 12,
        "margin": "0.525",
        "minimum": "44",
    }


def test_a_rule_is_changed_and_opened_wide_again(owner):
    rule = PriceRule.objects.get(code="portion-60")
    page = owner.get(reverse("kitchen-rules-edit", args=[rule.pk]))
    assert shows(page, "60")
    save_edit(owner, reverse("kitchen-rules-edit", args=[rule.pk]), RULE)
    assert book_json()["price_rules"][2] == {"code": "portion-60", "margin": "0.58"}


@pytest.mark.parametrize(
    ("field", "value", "sentence"),
    [
        ("margin", "", "Enter the margin."),
        ("margin", "100", "The margin must be 99 or less."),
        ("minimum", "4.005", "Write the minimum price with at most 2 decimals"),
        ("category", "cakes", "Choose one of the offered entries for “Category”"),
        ("customer_kind", "aliens", "Choose one of the offered entries for “Customers”"),
        ("product", "999999", "Choose one of the offered entries for “Product”"),
        ("from_units", "1.5", "Write the minimum quantity as a whole number, such as 60."),
    ],
)
def test_a_wrong_rule_is_named_and_shown_again(owner, field, value, sentence):
    response = owner.post(reverse("kitchen-rules-new"), RULE | {"name": "Try", field: value})
    assert text(response).count(sentence) == 2
    assert shows(response, "Try")
    assert PriceRule.objects.count() == 5


def test_a_rule_that_could_never_fit_is_refused(owner):
    tart = Product.objects.get(code="custard-tart-24")
    response = owner.post(reverse("kitchen-rules-new"), RULE | {"product": tart.pk, "category": "portion"})
    assert "is in the category whole: a rule for both would apply to nothing." in text(response)
