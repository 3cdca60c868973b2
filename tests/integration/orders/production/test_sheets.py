"""The kitchen's sheets: what to buy, make, bake, chill and hand over, from the orders of some days."""

import re
from datetime import timedelta
from decimal import Decimal
from fractions import Fraction

import pytest
from django.urls import reverse

from catalog.book.selectors import book_current
from catalog.pantry.models import Ingredient, Pack
from catalog.products.models import Product
from catalog.web import display
from costing.contract import Brief, BriefLine
from costing.estimating.engine import estimate
from orders.production.cold_room import cold_rows
from orders.production.demand import Demand, demand
from orders.production.hand_over import hand_overs
from orders.production.scaled_recipes import scaled_recipes
from orders.production.shopping import Missing, shopping
from orders.production.tasks import tasks
from tests.batch_kitchen import batch_kitchen_make
from tests.factories import EVENT, NOW
from tests.integration.orders.builders import LATER, order_make
from tests.integration.orders.register.test_register import signed_in

pytestmark = pytest.mark.django_db
DAY = EVENT.date()
SHEETS = ("shopping", "recipes", "prep", "oven", "cold", "handover")
#: A currency sign or code beside a figure, however it is written.
MONEY = re.compile(r"[$€£¥]|USD|\bmargin\b|\bprice[sd]?\b|\bcosts?\b", re.IGNORECASE)


def found(**days: object) -> Demand:
    return demand(**{"first": DAY, "last": DAY, "today": LATER.date(), **days})  # type: ignore[arg-type]


def test_the_orders_of_the_days_are_counted_where_the_kitchen_is() -> None:
    order_make(window_start=EVENT.replace(hour=23, minute=30))
    assert len(found().orders) == 1
    assert found(first=DAY + timedelta(days=1), last=DAY + timedelta(days=9)).orders == []


def test_two_orders_take_what_one_brief_of_both_takes() -> None:
    order_make()
    order_make()
    both = found()
    lines = tuple(BriefLine(code, units) for code, units in both.units.items())
    book = book_current()
    priced = estimate(book, Brief(date=LATER.date(), lines=lines, supply_date=DAY))
    needed: dict[str, Fraction] = {}
    for at in both.workings.purchases:
        needed[both.compiled.ingredients[at].code] = both.workings.need(at)[1]
    expected = {row.ingredient: row.as_purchased for row in priced.ingredients}
    assert needed.keys() == expected.keys()
    assert all(abs(needed[code] - expected[code]) < Fraction(1, 10**9) for code in needed)
    assert [line.made for _, line in both.lines] == [line.made for line in priced.lines]


def test_the_packs_cover_the_need_and_nothing_is_cheaper_in_one_size() -> None:
    order_make()
    both = found()
    rows = {row.ingredient: row for group in shopping(both) for row in group.rows}
    for at in both.workings.purchases:
        ingredient, offer = both.compiled.ingredients[at], both.workings.offers[at]
        assert offer is not None
        row = rows[ingredient.name]
        assert row.bought >= row.needed == both.workings.need(at)[1]
        assert row.leftover == row.bought - row.needed
        for size, pack in zip(offer.sizes, offer.packs, strict=True):
            assert row.cost <= pack.price * -(-row.needed // size)


def test_what_has_no_pack_in_force_is_named_at_the_end() -> None:
    order_make()
    Pack.objects.filter(ingredient__code="sugar").delete()
    from catalog.book.revision import catalog_changed

    catalog_changed()
    last = shopping(found())[-1]
    assert last.supplier == Missing.PACK
    assert [row.ingredient for row in last.rows] == ["Granulated sugar"]
    assert last.rows[0].packs == []


def test_a_scaled_recipe_gives_the_grams_it_must() -> None:
    order_make()
    both = found()
    recipes = {recipe.name: recipe for recipe in scaled_recipes(both)}
    for at, batch in both.workings.demand[0].items():
        recipe = both.compiled.recipes[at]
        scaled = recipes[recipe.name]
        assert scaled.grams == batch.grams
        assert sum(line.all_grams for line in scaled.lines) * (1 - recipe.loss) == batch.grams
        assert all(line.grams * scaled.batches == line.all_grams for line in scaled.lines)


def test_a_component_stands_before_what_uses_it() -> None:
    order_make()
    both = found()
    names = [recipe.name for recipe in scaled_recipes(both)]
    for at in both.workings.demand[0]:
        recipe = both.compiled.recipes[at]
        for line in recipe.lines:
            if line.recipe:
                assert names.index(both.book.recipe(line.recipe).name) < names.index(recipe.name)


def test_an_order_leaves_in_time_for_the_way() -> None:
    order = order_make()
    (row,) = hand_overs(found().orders)
    assert row.leaves == order.window_start - timedelta(minutes=35 + 40)
    assert row.crew == 2


@pytest.mark.parametrize("role", ["owner", "kitchen"])
@pytest.mark.parametrize("name", SHEETS)
def test_each_sheet_is_answered_with_and_without_orders(role: str, name: str) -> None:
    client = signed_in(role)
    order_make()
    for days in (f"?first={DAY}&last={DAY}", "?first=2030-01-01&last=2030-01-02", "?first=x&last=0", ""):
        answer = client.get(reverse(f"sheet-{name}") + days)
        assert answer.status_code == 200
        if role == "kitchen":
            assert not MONEY.search(re.sub(r"<head>.*?</head>", "", answer.content.decode(), flags=re.DOTALL))


def test_the_owner_sees_prices_on_the_shopping_list_and_the_kitchen_does_not() -> None:
    order_make()
    address = f"{reverse('sheet-shopping')}?first={DAY}&last={DAY}"
    assert "$" in signed_in("owner").get(address).content.decode()
    assert "$" not in signed_in("kitchen").get(address).content.decode()


def test_more_orders_take_no_more_queries(django_assert_num_queries: object) -> None:
    from django.db import connection
    from django.test.utils import CaptureQueriesContext

    order_make()
    counts = []
    for _ in range(2):
        cold_rows(found(), tasks(found()), {}, at=NOW)  # what a Book is asked once is known afterwards
        with CaptureQueriesContext(connection) as queries:
            both = found()
            cold_rows(both, tasks(both), {}, at=NOW)
            hand_overs(both.orders)
        counts.append(len(queries))
        order_make()
    assert counts[0] == counts[1]


def test_a_product_that_left_the_catalog_does_not_stop_the_sheets() -> None:
    order_make()
    Product.objects.filter(code="walnut-cake").update(active=False)
    from catalog.book.revision import catalog_changed

    catalog_changed()
    assert found().unknown == []


def test_what_is_counted_is_bought_by_the_piece_as_well_as_by_weight() -> None:
    order_make()
    both = found()
    rows = {row.ingredient: row for group in shopping(both) for row in group.rows}
    counted = [one for one in both.compiled.ingredients if one.grams_each and one.name in rows]
    assert counted
    for ingredient in counted:
        row, each = rows[ingredient.name], ingredient.grams_each
        assert each is not None
        assert row.pieces is not None
        assert (row.pieces - 1) * each < row.needed <= row.pieces * each
        assert row.pieces_left == row.leftover // each
    assert all(
        rows[one.name].pieces is None for one in both.compiled.ingredients if one.name in rows and not one.grams_each
    )


@pytest.mark.parametrize("name", SHEETS)
def test_each_cell_of_a_sheet_has_its_columns_name_for_a_phone(name: str) -> None:
    batch_kitchen_make()
    order_make()
    days = {"first": EVENT.date().isoformat(), "last": EVENT.date().isoformat()}
    page = signed_in("owner").get(reverse(f"sheet-{name}"), days).content.decode()
    tables = page.count("<table")
    assert tables
    assert page.count('<table class="stack"') == tables
    bodies = "".join(part.split("</tbody>")[0] for part in page.split("<tbody>")[1:])
    bare = [cell for cell in re.findall(r"<td\b[^>]*>(?!</td>).{20}", bodies, re.S) if "data-label=" not in cell]
    assert bare == []


def test_what_is_weighed_in_recipes_and_sold_by_volume_is_shown_in_both() -> None:
    order_make()
    Pack.objects.filter(ingredient__code="sugar").update(size="1 quart")
    Ingredient.objects.filter(code="sugar").update(density=Decimal("0.85"))
    from catalog.book.revision import catalog_changed

    catalog_changed()
    row = next(row for group in shopping(found()) for row in group.rows if row.ingredient == "Granulated sugar")
    assert row.needed_ml == row.needed / Fraction(17, 20)
    assert row.leftover_ml == row.leftover / Fraction(17, 20)
    page = signed_in("owner").get(f"{reverse('sheet-shopping')}?first={DAY}&last={DAY}").content.decode()
    assert f"about {display.volume(row.needed_ml)}" in page
    others = [one for group in shopping(found()) for one in group.rows if one.ingredient != "Granulated sugar"]
    assert all(one.needed_ml is None for one in others if one.packs and one.packs[0][1].kind != "volume")
