"""Processes that save the same record at the same moment: one wins, the others are shown what it saved."""

import threading
from collections.abc import Callable
from decimal import Decimal
from typing import Any

import pytest
from django.db import connection

from catalog.molds.models import Mold
from catalog.molds.services import MoldData, mold_save, mold_version
from catalog.recipes.cost_basis import LineDraft
from catalog.recipes.models import Recipe
from catalog.recipes.services import RecipeData, recipe_save, recipe_version
from catalog.records.errors import Overtaken
from orders.inquiries.models import Inquiry
from orders.inquiries.services import inquiry_change, inquiry_version
from orders.quotes.draft.services import draft_save, table_version
from orders.quotes.models import Quote
from tests import factories
from tests.factories import BY, NOW

pytestmark = pytest.mark.django_db(transaction=True)
WRITERS = 6


def raced(save: Callable[[int], Any]) -> tuple[int, int]:
    """Let several threads save at once; return how many saved and how many were overtaken."""
    start, outcomes = threading.Barrier(WRITERS), list[str]()

    def one(number: int) -> None:
        start.wait()
        try:
            save(number)
            outcomes.append("saved")
        except Overtaken:
            outcomes.append("overtaken")
        finally:
            connection.close()

    threads = [threading.Thread(target=one, args=(number,)) for number in range(WRITERS)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    return outcomes.count("saved"), outcomes.count("overtaken")


def test_one_of_several_saves_of_a_mold_wins() -> None:
    factories.kitchen_make()
    mold = Mold.objects.create(name="Ring", shape="round", diameter_cm=Decimal(24), owned=4)
    version = mold_version(mold)

    def save(number: int) -> None:
        data = MoldData(name="Ring", shape="round", owned=10 + number, diameter_cm=Decimal(24))
        mold_save(mold_id=mold.pk, data=data, version=version, by=BY, at=NOW)

    assert raced(save) == (1, WRITERS - 1)


def test_one_of_several_saves_of_a_recipe_wins_and_its_lines_are_the_winners() -> None:
    factories.kitchen_make()
    recipe = Recipe.objects.get(code="custard")
    version = recipe_version(recipe)
    good = recipe.lines.exclude(ingredient=None).select_related("ingredient")[0].ingredient
    assert good is not None

    def save(number: int) -> None:
        lines = tuple(LineDraft(f"{number + 1} g", good.code, "", "") for _ in range(3))
        recipe_save(
            recipe_id=recipe.pk, data=RecipeData(name=f"Custard {number}", lines=lines), version=version, by=BY, at=NOW
        )

    assert raced(save) == (1, WRITERS - 1)
    recipe.refresh_from_db()
    winner = int(recipe.name.rpartition(" ")[2])
    assert [line.amount for line in recipe.lines.all()] == [f"{winner + 1} g"] * 3


def test_one_of_several_saves_of_a_table_wins_beside_changes_of_its_inquiry() -> None:
    factories.kitchen_make()
    quote = factories.draft_make()
    version = table_version(Quote.objects.select_related("inquiry").get(pk=quote.pk))
    inquiry = inquiry_version(Inquiry.objects.get())

    def save(number: int) -> None:
        if number % 2:
            table = factories.table_make().with_line("rice-glass", units=12 * (number + 10))
            draft_save(quote_id=quote.pk, table=table, guests=80, version=version, by=BY, at=NOW)
        else:
            data = factories.inquiry_data(title=f"Wedding {number}")
            inquiry_change(inquiry_id=quote.inquiry_id, data=data, version=inquiry, by=BY, at=NOW)

    saved, overtaken = raced(save)
    assert (saved, overtaken) == (2, WRITERS - 2)
