"""The owner edits ingredients, packs and suppliers."""

import re
from datetime import date
from decimal import Decimal

import pytest
from django.contrib.auth.models import Group, User
from django.test import Client
from django.urls import reverse

from catalog.kitchen.models import Kitchen
from catalog.pantry import services
from catalog.pantry.allergens import NOT_ON_LABEL
from catalog.pantry.models import Ingredient, Pack, Supplier
from catalog.pantry.services import ingredient_delete, ingredient_save, pack_add
from catalog.products.models import Fill, Product
from catalog.recipes.models import Recipe, RecipeLine
from catalog.records.errors import InUse, PackDatesOverlap
from catalog.taxes.models import TaxCategory
from tests.databases import is_locked
from tests.refusals import refused

pytestmark = pytest.mark.django_db

FACTS = {
    "name": "Cocoa nibs",
    "base": "g",
    "density": Decimal("0.6"),
    "grams_each": None,
    "yield_share": Decimal(1),
    "charge": "used",
    "allergens": [],
    "source": "weighed in the kitchen",
    "ndb": "",
    "note": "",
    "active": True,
}

#: What some guests do not eat, asked besides allergens.
DIETS_ASKED = {"gelatin", "meat", "other-animal", "alcohol"}


@pytest.fixture(autouse=True)
def profile() -> Kitchen:
    return Kitchen.objects.create(pk=1, name="Tansy Row", email="kitchen@tansyrow.example")


@pytest.fixture
def owner(client: Client) -> Client:
    return signed_in(client, "owner")


def signed_in(client: Client, role: str) -> Client:
    user = User.objects.create_user(f"a-{role}", password="long enough for anybody")
    user.groups.add(Group.objects.get_or_create(name=role)[0])
    client.force_login(user)
    return client


def submitted(**changes: object) -> dict[str, object]:
    return {
        "name": "Cocoa nibs",
        "base": "g",
        "charge": "used",
        "yield_share": "100",
        "active": "on",
        "parts-TOTAL_FORMS": "2",
        "parts-INITIAL_FORMS": "0",
        **changes,
    }


def test_a_saved_ingredient_moves_the_books_revision_on() -> None:
    before = Kitchen.objects.get().revision
    saved = ingredient_save(ingredient_id=None, data=FACTS, parts=[])
    assert saved.code == "cocoa-nibs"
    assert Kitchen.objects.get().revision == before + 1


def test_two_ingredients_of_one_name_get_codes_of_their_own() -> None:
    codes = [ingredient_save(ingredient_id=None, data=FACTS, parts=[]).code for _ in range(2)]
    assert codes == ["cocoa-nibs", "cocoa-nibs-2"]


def test_a_new_price_ends_the_earlier_one_the_day_before() -> None:
    nibs = ingredient_save(ingredient_id=None, data=FACTS, parts=[])
    for price, starts in (("18.00", date(2026, 1, 1)), ("19.50", date(2026, 9, 1))):
        pack_add(
            ingredient_id=nibs.pk,
            size="5 lb",
            price=Decimal(price),
            starts=starts,
            supplier="Quayside",
            preferred=False,
        )
    old, new = Pack.objects.filter(ingredient=nibs).order_by("starts")
    assert (old.ends, old.price) == (date(2026, 8, 31), Decimal("18.00"))
    assert (new.ends, new.price) == (None, Decimal("19.50"))


def test_a_price_is_not_put_before_a_later_one() -> None:
    nibs = ingredient_save(ingredient_id=None, data=FACTS, parts=[])
    pack_add(
        ingredient_id=nibs.pk, size="5 lb", price=Decimal(18), starts=date(2026, 9, 1), supplier="", preferred=False
    )
    with refused(PackDatesOverlap, match="5 lb has a price from September 1, 2026"):
        pack_add(
            ingredient_id=nibs.pk, size="5 lb", price=Decimal(17), starts=date(2026, 3, 1), supplier="", preferred=False
        )


@pytest.mark.postgres
@pytest.mark.django_db(transaction=True)
def test_of_two_prices_of_one_pack_at_once_the_second_waits_for_the_first(monkeypatch: pytest.MonkeyPatch) -> None:
    nibs = ingredient_save(ingredient_id=None, data=FACTS, parts=[])
    locked: list[bool] = []
    monkeypatch.setattr(services, "catalog_changed", lambda: locked.append(is_locked("catalog_ingredient")))
    pack_add(
        ingredient_id=nibs.pk, size="5 lb", price=Decimal(18), starts=date(2026, 9, 1), supplier="", preferred=False
    )
    assert locked == [True]


def test_another_suppliers_price_of_the_same_size_stays_beside_it() -> None:
    nibs = ingredient_save(ingredient_id=None, data=FACTS, parts=[])
    for supplier in ("Quayside", "Sedge Mill"):
        pack_add(
            ingredient_id=nibs.pk,
            size="5 lb",
            price=Decimal(18),
            starts=date(2026, 1, 1),
            supplier=supplier,
            preferred=False,
        )
    assert Pack.objects.filter(ingredient=nibs, ends__isnull=True).count() == 2


def test_a_part_that_a_recipe_uses_is_not_taken_out() -> None:
    part = {"code": "juice", "share": Decimal("0.36"), "joint": "fruit", "density": Decimal("1.03"), "grams_each": None}
    lemon = ingredient_save(ingredient_id=None, data={**FACTS, "name": "Lemons"}, parts=[part])
    curd = Recipe.objects.create(code="curd", name="Lemon curd")
    RecipeLine.objects.create(recipe=curd, ingredient=lemon, part=lemon.parts.get(), amount="1 cup")
    with refused(InUse, match="The part juice is used by Lemon curd"):
        ingredient_save(ingredient_id=lemon.pk, data={**FACTS, "name": "Lemons"}, parts=[])


def test_an_ingredient_in_use_says_by_what_and_stays() -> None:
    nibs = ingredient_save(ingredient_id=None, data=FACTS, parts=[])
    crunch = Recipe.objects.create(code="crunch", name="Hazelnut crunch")
    RecipeLine.objects.create(recipe=crunch, ingredient=nibs, amount="100 g")
    tax = TaxCategory.objects.create(code="food")
    Fill.objects.create(
        product=Product.objects.create(code="bar", name="Bar", category="portion", tax=tax),
        recipe=crunch,
        amount="50 g",
    )
    with refused(InUse, match="Cocoa nibs is used by Hazelnut crunch"):
        ingredient_delete(ingredient_id=nibs.pk)
    assert Ingredient.objects.filter(pk=nibs.pk).exists()


def test_the_page_saves_what_was_entered(owner: Client) -> None:
    response = owner.post(
        reverse("ingredient-new"),
        submitted(
            cup_grams="120",
            yield_share="88%",
            **{"label-has-milk": "contains", "label-has-soybeans": "contains", "label-has-almonds": "may"},
            **{"parts-0-code": "dust", "parts-0-share": "10", "parts-0-joint": ""},
        ),
    )
    saved = Ingredient.objects.get()
    assert response.status_code == 302
    assert (saved.density, saved.yield_share) == (Decimal("0.5072"), Decimal("0.88"))
    assert saved.allergens == ["milk", "soybeans"]
    assert saved.allergen_answers == {"almonds": "may"}
    assert saved.parts.get().share == Decimal("0.1")


def test_bad_input_is_named_with_its_fix_and_nothing_entered_is_lost(owner: Client) -> None:
    response = owner.post(reverse("ingredient-new"), submitted(name="", density="heavy", note="from the harbour"))
    page = response.content.decode()
    assert "Enter the ingredient&#x27;s name." in page or "Enter the ingredient’s name." in page
    assert "Write the density as a number, such as 0.845." in page
    assert 'value="heavy"' in page
    assert "from the harbour" in page
    assert not Ingredient.objects.exists()


def test_a_suggestion_fills_the_figure_and_its_source_without_saving(owner: Client) -> None:
    response = owner.post(reverse("ingredient-new"), submitted(name="Honey", use="19296|cup", note="keep me"))
    page = response.content.decode()
    assert 'value="1.4329"' in page
    assert "USDA SR28 19296" in page
    assert "keep me" in page
    assert not Ingredient.objects.exists()


@pytest.mark.parametrize("size", ["two sacks", "99999999999999999999 lb"])
def test_a_pack_that_cannot_be_read_shows_what_was_entered(owner: Client, size: str) -> None:
    nibs = ingredient_save(ingredient_id=None, data=FACTS, parts=[])
    response = owner.post(
        reverse("pack-add", args=[nibs.pk]),
        {"size": size, "price": "18", "supplier": "Quayside", "starts": "2026-01-01"},
    )
    assert response.status_code == 422
    assert f'value="{size}"' in response.content.decode()
    assert not Pack.objects.exists()


def test_a_pack_is_recorded_with_a_new_supplier(owner: Client) -> None:
    nibs = ingredient_save(ingredient_id=None, data=FACTS, parts=[])
    owner.post(
        reverse("pack-add", args=[nibs.pk]),
        {"size": "2 lbs", "price": "$18.00", "supplier": "Quayside", "starts": "2026-01-01"},
    )
    pack = Pack.objects.get()
    assert (pack.size, pack.price, str(pack.supplier)) == ("2 lb", Decimal("18.00"), "Quayside")


@pytest.mark.parametrize("role", ["kitchen", "bookkeeper"])
@pytest.mark.parametrize("name", ["ingredients", "ingredient-new", "suppliers", "price-lists"])
def test_buying_is_the_owners_alone(client: Client, role: str, name: str) -> None:
    assert signed_in(client, role).get(reverse(name)).status_code == 403


def test_the_list_asks_the_database_the_same_number_of_times_for_many_rows(
    owner: Client, django_assert_max_num_queries: object
) -> None:
    def count() -> int:
        from django.db import connection
        from django.test.utils import CaptureQueriesContext

        with CaptureQueriesContext(
            connection,
        ) as queries:
            assert owner.get(reverse("ingredients")).status_code == 200
        return len(queries)

    for number in range(3):
        _priced(number)
    few = count()
    for number in range(3, 40):
        _priced(number)
    assert count() == few


def _priced(number: int) -> None:
    row = Ingredient.objects.create(code=f"i{number}", name=f"Ingredient {number}")
    supplier = Supplier.objects.get_or_create(name=f"Supplier {number % 3}")[0]
    Pack.objects.create(ingredient=row, size="1 kg", price=Decimal(3), starts=date(2026, 1, 1), supplier=supplier)


@pytest.mark.parametrize(
    ("which", "asked", "not_asked"),
    [
        ("us", {"pine-nuts", "sesame"}, {"celery", "lupin", "mustard", "molluscs", "sulphites", "gluten", "tree-nuts"}),
        ("eu", {"celery", "lupin", "mustard", "molluscs", "sulphites", "sesame"}, {"pine-nuts", "gluten"}),
    ],
)
def test_an_ingredient_is_asked_for_the_allergens_of_the_kitchens_list(
    owner: Client, which: str, asked: set[str], not_asked: set[str]
) -> None:
    Kitchen.objects.update(allergen_list=which)
    page = owner.get(reverse("ingredient-new")).content.decode()
    questions = set(re.findall(r'name="label-has-([a-z-]+)" value="may"', page))
    assert asked <= questions
    assert not not_asked & questions
    # Nothing is answered beforehand.
    assert len(re.findall(r'name="label-has-[a-z-]+" value="" checked', page)) == len(questions) + len(DIETS_ASKED)


def test_an_answer_that_names_no_nut_stays_and_says_so_until_somebody_names_it(owner: Client) -> None:
    row = Ingredient.objects.create(code="praline", name="Praline paste", allergens=["tree-nuts"])
    page = owner.get(reverse("ingredient", args=[row.pk])).content.decode()
    assert re.search(r'name="label-has-tree-nuts" value="contains" checked>[^<]*<[^>]*>A tree nut, not named', page)
    # Free of "a tree nut, not named" is no answer.
    assert 'name="label-has-tree-nuts" value="free"' not in page


@pytest.mark.parametrize(("named", "shown"), [("cod", "fish (cod)"), (NOT_ON_LABEL, f"fish ({NOT_ON_LABEL})")])
def test_the_page_and_the_list_say_the_species_that_was_entered(owner: Client, named: str, shown: str) -> None:
    row = Ingredient.objects.create(code="stock", name="Stock", allergens=["fish"], allergen_names={"fish": named})
    for address in (reverse("ingredient", args=[row.pk]), reverse("ingredients")):
        assert f"Contains {shown}." in owner.get(address).content.decode()


def test_one_tick_answers_free_for_what_was_not_answered_and_nothing_else(owner: Client) -> None:
    answers = {"label-has-milk": "contains", "label-has-almonds": "may", "label-all_free": "on"}
    owner.post(reverse("ingredient-new"), submitted(**answers))
    saved = Ingredient.objects.get()
    assert saved.allergens == ["milk"]
    assert saved.allergen_answers["almonds"] == "may"
    assert {saved.allergen_answers[code] for code in ("eggs", "wheat", "rye", "heartnuts")} == {"free"}
    # A label of a sheet of gelatin says nothing of gelatin: diets are answered by themselves.
    assert not {"gelatin", "meat", "other-animal", "alcohol"} & saved.allergen_answers.keys()
    assert "milk" not in saved.allergen_answers
    assert saved.touches_food


def test_without_the_tick_nothing_left_open_becomes_free(owner: Client) -> None:
    owner.post(reverse("ingredient-new"), submitted())
    saved = Ingredient.objects.get()
    assert (saved.allergens, saved.allergen_answers) == ([], {})


def test_answers_are_shown_again_as_they_were_saved(owner: Client) -> None:
    answers = {"label-has-fish": "contains", "label-name-fish": "cod", "label-has-gelatin": "contains"}
    owner.post(
        reverse("ingredient-new"),
        submitted(name="Box", **answers, **{"label-off_food": "on", "label-pasteurized": "on"}),
    )
    saved = Ingredient.objects.get()
    assert (saved.allergen_names, saved.touches_food) == ({"fish": "cod"}, False)
    assert saved.allergen_answers == {"gelatin": "contains", "raw-egg": "free"}
    page = owner.get(reverse("ingredient", args=[saved.pk])).content.decode()
    for shown in (
        'name="label-has-fish" value="contains" checked',
        'name="label-has-gelatin" value="contains" checked',
    ):
        assert shown in page
    assert re.search(r'name="label-name-fish" value="cod"', page)
    assert re.search(r'name="label-off_food"[^>]* checked', page)
    assert re.search(r'name="label-pasteurized"[^>]* checked', page)


def test_fish_it_contains_is_asked_for_by_name_and_nothing_typed_is_lost(owner: Client) -> None:
    fish = submitted(**{"label-has-fish": "contains"})
    page = owner.post(reverse("ingredient-new"), fish).content.decode()
    assert "It contains fish: enter which, or check “The label does not name it”." in page
    assert 'name="label-has-fish" value="contains" checked' in page
    assert f'value="{fish["name"]}"' in page
    assert not Ingredient.objects.exists()
    both = fish | {"label-name-fish": "cod", "label-unnamed-fish": "on"}
    assert "clear one of them" in owner.post(reverse("ingredient-new"), both).content.decode()
    owner.post(reverse("ingredient-new"), fish | {"label-unnamed-fish": "on"})
    saved = Ingredient.objects.get()
    assert saved.allergen_names == {"fish": "not named on the label"}
    again = owner.get(reverse("ingredient", args=[saved.pk])).content.decode()
    assert re.search(r'name="label-unnamed-fish"[^>]* checked', again), "it is not asked anew each time"
    assert 'name="label-name-fish" value="' not in again


def test_traces_of_fish_and_fish_it_is_free_of_need_no_name(owner: Client) -> None:
    owner.post(reverse("ingredient-new"), submitted(**{"label-has-fish": "may", "label-has-crustaceans": "free"}))
    assert Ingredient.objects.get().allergen_names == {}


def test_an_answer_nobody_offered_is_refused_by_name_and_the_rest_stays(owner: Client) -> None:
    response = owner.post(
        reverse("ingredient-new"), submitted(**{"label-has-almonds": "perhaps", "label-has-milk": "contains"})
    )
    page = response.content.decode()
    assert "Choose one of the answers for almonds." in page
    assert 'name="label-has-milk" value="contains" checked' in page
    assert not Ingredient.objects.exists()


@pytest.mark.parametrize(
    "payload",
    [
        {"name": "\x00" * 3},
        {"name": "x" * 100_000},
        {"density": "9" * 400},
        {"parts-TOTAL_FORMS": "99999"},
        {"parts-TOTAL_FORMS": "x"},
        {"base": "stone"},
        {"label-has-milk": "plutonium"},
        {"use": "nothing|here"},
        {"use": "19296|nonsense"},
        {"yield_share": "-4"},
        {"ndb": "1" * 50},
    ],
)
def test_odd_payloads_never_break_the_page(owner: Client, payload: dict[str, object]) -> None:
    response = owner.post(reverse("ingredient-new"), submitted(**payload))
    assert response.status_code < 500
    assert not Ingredient.objects.exists()


def test_a_long_list_of_ingredients_comes_in_pages_and_is_searched(owner: Client) -> None:
    Ingredient.objects.bulk_create(
        Ingredient(code=f"spice-{number:03}", name=f"Spice {number:03}", base="g") for number in range(120)
    )
    page = owner.get(reverse("ingredients"), {"find": "spice"}).content.decode()
    assert page.count("Spice ") == 50
    assert "Page 1 of 3 (120 in total)" in " ".join(page.split())
    assert 'href="?find=spice&amp;page=2"' in page
    assert owner.get(reverse("ingredients"), {"find": "spice", "page": "3"}).content.decode().count("Spice ") == 20
    assert owner.get(reverse("ingredients"), {"find": "spice", "page": "wild"}).content.decode().count("Spice ") == 50
    assert owner.get(reverse("ingredients"), {"find": "Spice 07"}).content.decode().count("Spice 07") == 12


def test_the_search_among_those_no_longer_bought_stays_among_them(owner: Client) -> None:
    Ingredient.objects.create(code="old-spice", name="Old spice", base="g", active=False)
    page = owner.get("/catalog/ingredients/?no-longer").content.decode()
    assert '<input type="hidden" name="no-longer">' in page
    page = owner.get("/catalog/ingredients/?find=spice&no-longer=").content.decode()
    assert "Old spice" in page
