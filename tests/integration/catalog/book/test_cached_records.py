"""A Book that reuses the records whose rows did not change is the Book read anew, whatever changed."""

from collections.abc import Callable
from datetime import date
from decimal import Decimal
from random import Random

import pytest

from catalog.book.revision import catalog_changed
from catalog.book.rows import RecordCache
from catalog.book.selectors import _errors, _read
from catalog.pantry.models import Ingredient, Pack, Part
from catalog.price_rules.models import PriceRule
from catalog.products.models import Fill, Packaging, Product, ProductStep
from catalog.rates.models import Role
from catalog.recipes.models import Recipe, RecipeLine, RecipeStep
from catalog.taxes.models import TaxCategory
from costing.contract import Book, CostingError, InputErrors, check_book
from tests.integration.catalog.book.forms import whole_kitchen
from tests.integration.catalog.book.test_book import taken_over

pytestmark = pytest.mark.django_db


def some(model: type, rng: Random):  # type: ignore[no-untyped-def]  # a queryset of one row
    return model.objects.filter(pk=rng.choice(list(model.objects.values_list("pk", flat=True))))


#: Changes as forms, imports and the database could make them, sound and unsound.
CHANGES: tuple[Callable[[Random], object], ...] = (
    lambda rng: some(Ingredient, rng).update(density=rng.choice([None, Decimal("0.9"), Decimal("-1")])),
    lambda rng: some(Ingredient, rng).update(grams_each=rng.choice([None, Decimal(30)])),
    lambda rng: some(Ingredient, rng).update(base=rng.choice(["g", "each"])),
    lambda rng: some(Ingredient, rng).update(name=f"Name {rng.random()}", allergens=["milk"]),
    lambda rng: some(Ingredient, rng).update(yield_share=rng.choice([Decimal("0.5"), Decimal("1.5")])),
    lambda rng: some(Pack, rng).update(price=Decimal(rng.randint(-1, 90)), starts=date(2026, 1, rng.randint(1, 28))),
    lambda rng: some(Pack, rng).delete(),
    lambda rng: some(Part, rng).update(share=rng.choice([Decimal("0.2"), Decimal(0)])),
    lambda rng: some(RecipeLine, rng).update(amount=rng.choice(["250 g", "1 cup", "3 each", "a lot"])),
    lambda rng: some(RecipeLine, rng).update(
        ingredient=None, part=None, component=rng.choice(list(Recipe.objects.all()))
    ),
    lambda rng: some(RecipeStep, rng).delete(),
    lambda rng: some(Recipe, rng).update(loss=rng.choice([Decimal(0), Decimal("0.1"), Decimal(1)])),
    lambda rng: some(Recipe, rng).update(code=f"mix-{rng.randint(0, 10**9)}", position=rng.randint(0, 9)),
    lambda rng: some(Fill, rng).update(amount=rng.choice(["40 g", "1 cup", "0 g"])),
    lambda rng: some(Packaging, rng).update(amount=rng.choice(["1 each", "2 each", "1 kg"])),
    lambda rng: some(ProductStep, rng).update(minutes=rng.choice([None, Decimal(20), Decimal(-5)])),
    lambda rng: some(Product, rng).update(list_price=rng.choice([None, Decimal("12.5"), Decimal("1.234")])),
    lambda rng: some(Product, rng).update(code=f"item-{rng.randint(0, 10**9)}", active=rng.random() < 0.5),
    lambda rng: some(Role, rng).update(code=f"role-{rng.randint(0, 10**9)}"),
    lambda rng: some(TaxCategory, rng).update(code=f"tax-{rng.randint(0, 10**9)}"),
    lambda rng: some(PriceRule, rng).update(margin=rng.choice([Decimal("0.4"), Decimal(2)])),
)


def errors_of(book: Book) -> tuple[CostingError, ...]:
    try:
        check_book(book)
    except InputErrors as found:
        return found.errors
    return ()


@pytest.mark.parametrize("seed", range(6))
def test_after_any_changes_the_book_and_its_errors_are_those_of_one_read_anew(seed: int) -> None:
    rng, cache = Random(seed), RecordCache()
    taken_over(whole_kitchen())
    sound = _read(cache)[1]
    for _ in range(20):
        rng.choice(CHANGES)(rng)
        catalog_changed()
        book = _read(cache)[1]
        assert book == _read(RecordCache())[1]
        errors = errors_of(book)
        assert _errors(book, sound) == errors
        if not errors:
            sound = book


def test_one_saved_ingredient_makes_one_record_anew() -> None:
    cache = RecordCache()
    taken_over(whole_kitchen())
    before = _read(cache)[1]
    Ingredient.objects.filter(code=before.ingredients[0].code).update(note="Keep it dry.")
    after = _read(cache)[1]
    assert after.ingredients[0].note == "Keep it dry."
    assert after.ingredients[0] is not before.ingredients[0]
    for kind in ("ingredients", "recipes", "products"):
        old, new = getattr(before, kind), getattr(after, kind)
        assert all(a is b for a, b in list(zip(old, new, strict=True))[kind == "ingredients" :])
