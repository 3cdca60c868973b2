"""Recipe sheets and the prep list name allergens and the guests they concern, as day, hand-over and labels do."""

from collections.abc import Callable

import pytest
from django.urls import reverse

from catalog.book.revision import catalog_changed
from catalog.pantry.models import Ingredient
from orders.approvals.services import ApprovalEvidence, quote_ask_change
from orders.inquiries.models import Inquiry
from orders.production.demand import orders_between
from orders.production.labels import label_file
from orders.quotes.draft.dessert_table import TableExtra
from tests.factories import EVENT, extra_make, kitchen_make, table_make
from tests.integration.catalog.kitchen_pages import signed_in, text
from tests.integration.orders.builders import order_make

pytestmark = pytest.mark.django_db


Sheet = Callable[[str], str]


@pytest.fixture
def sheet() -> Sheet:
    kitchen_make()
    cook = signed_in("kitchen")
    return lambda name: text(cook.get(f"{reverse(name)}?first={EVENT.date()}&last={EVENT.date()}"))


@pytest.mark.parametrize("name", ["sheet-recipes", "sheet-prep"])
def test_both_name_the_guests_needs_with_their_notes(name: str, sheet: Sheet) -> None:
    order = order_make(allergies=("tree-nuts", "milk"), need_counts={"tree-nuts": 2}, allergy_note="One carries a pen.")
    page = sheet(name)
    for part in (f"{order.number} {order.title}:", "2 guests: tree nuts", "milk", "“One carries a pen.”"):
        assert part in page
    assert f"{order.number}, tree nuts for 2 guests: contains walnuts" in page
    assert "check the suppliers’ labels" in page


def test_a_recipe_says_what_is_in_it_and_for_whom_it_has_to_stay_free(sheet: Sheet) -> None:
    order = order_make(allergies=("tree-nuts", "vegan"), need_counts={"tree-nuts": 2})
    page = sheet("sheet-recipes")
    assert "Allergens: Contains" in page
    assert f"Keep it free of tree nuts ({order.number})" in page
    assert "Keep it free of vegan" not in page, "a diet is no matter of traces"
    assert f"{order.number}, vegan: contains" in page


def test_what_nobody_checked_is_never_free_on_a_sheet(sheet: Sheet) -> None:
    order = order_make(allergies=("peanuts",))
    Ingredient.objects.filter(code="saffron").update(allergen_answers={})
    catalog_changed()
    for name in ("sheet-recipes", "sheet-prep"):
        page = sheet(name)
        assert f"{order.number}, peanuts: not checked yet" in page
        assert "ot checked yet" in page


def test_a_need_that_was_entered_after_the_approval_is_on_the_sheets(sheet: Sheet) -> None:
    order = order_make(allergies=())
    assert "not asked about allergies" in sheet("sheet-prep")
    Inquiry.objects.filter(pk=order.quote.inquiry_id).update(allergies=["eggs"], need_counts={"eggs": 1})
    for name in ("sheet-recipes", "sheet-prep"):
        assert f"{order.number}, eggs for 1 guest: contains eggs" in sheet(name)


def test_a_part_of_desserts_that_contain_it_anyway_has_not_to_stay_free_of_it(sheet: Sheet) -> None:
    order = order_make(allergies=("milk", "tree-nuts"))
    quince = sheet("sheet-recipes").partition("Poached quince:")[2].partition("Goes into")[0]
    assert f"Keep it free of tree nuts ({order.number})" in quince
    assert "milk" not in quince, "both desserts it goes into contain milk"


@pytest.mark.parametrize("name", ["sheet-recipes", "sheet-prep"])
def test_an_extra_that_is_food_is_named_with_whom_it_is_not_for(name: str, sheet: Sheet) -> None:
    fountain = TableExtra(
        "Chocolate fountain", 5000, 9000, *tax_of_service(), food="checked", allergens=("milk",),
        may_contain=("peanuts",), free_of=("soybeans",), free_by="label:Chocolate fountain",
    )  # fmt: skip
    order = order_make(
        table=table_make(extras=(fountain, extra_make())),
        allergies=("peanuts",),
        need_counts={"peanuts": 2},
        unchecked=("extra-1",),
    )
    page = sheet(name)
    assert "Extras that are food" in page
    assert (
        f"{order.number} {order.title} Chocolate fountain: Contains milk. May contain peanuts. Not checked yet for"
        in page
    )
    assert f"Not for {order.number}, peanuts for 2 guests: may contain peanuts" in page
    assert "Cake stands" not in page


def tax_of_service() -> tuple[int, str]:
    one = extra_make()
    return one.tax_id, one.tax_code


def test_statements_of_the_prep_list_stand_on_lines_of_their_own() -> None:
    kitchen_make()
    order_make(allergies=("tree-nuts",))
    page = signed_in("kitchen").get(f"{reverse('sheet-prep')}?first={EVENT.date()}&last={EVENT.date()}")
    html = page.content.decode()
    assert '<p class="line"><strong>Not for</strong> O-' in html
    assert '<p class="line"><strong>Keep it free of</strong> tree nuts' in html
    assert '<span class="error">Not for' not in html


@pytest.mark.parametrize("name", ["sheet-recipes", "sheet-prep"])
def test_both_show_a_message_nobody_answered_as_the_hand_over_list_does(name: str, sheet: Sheet) -> None:
    order = order_make(allergies=())
    words = "My aunt cannot eat walnuts."
    quote_ask_change(quote_id=order.quote_id, text=words, evidence=ApprovalEvidence(), at=EVENT)
    page = sheet(name)
    for part in (f"{order.number} {order.title}", "A message may name what a guest cannot eat.", words):
        assert part in page
    row = label_file(orders_between(EVENT.date(), EVENT.date())).decode()
    assert "A message not answered yet may name what a guest cannot eat: “My aunt cannot eat walnuts.”" in row
