"""Processes that save the same record at the same moment: one wins, the others are shown what it saved."""

import threading
from collections.abc import Callable
from decimal import Decimal
from typing import Any

import pytest
from django.db import connection
from django.test import Client
from django.urls import reverse

from catalog.kitchen.models import Kitchen
from catalog.kitchen.services import profile_save
from catalog.molds.models import Mold
from catalog.molds.services import MoldData, mold_save, mold_version
from catalog.recipes.cost_basis import LineDraft
from catalog.recipes.models import Recipe
from catalog.recipes.services import RecipeData, recipe_save, recipe_version
from catalog.records.errors import Overtaken
from catalog.records.versions import UNSEEN
from orders.inquiries.models import Inquiry
from orders.inquiries.services import inquiry_change, inquiry_version
from orders.quotes.draft.services import draft_save, table_version
from orders.quotes.models import Quote
from tests import factories
from tests.factories import BY, NOW
from tests.integration.catalog.kitchen_pages import PROFILE, signed_in, text

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


def test_of_several_windows_that_set_the_kitchen_up_at_once_one_wins() -> None:
    factories.kitchen_make()
    columns = [field.name for field in Kitchen._meta.fields if field.name not in {"id", "revision"}]
    facts = {name: getattr(Kitchen.objects.get(), name) for name in columns}
    Kitchen.objects.all().delete()

    def save(number: int) -> None:
        profile_save(data={**facts, "name": f"Kitchen {number}"}, version=UNSEEN)

    assert raced(save) == (1, WRITERS - 1)
    assert Kitchen.objects.count() == 1


def test_windows_that_set_the_kitchen_up_at_once_show_the_losers_both_versions() -> None:
    pages: list[tuple[int, str]] = []
    clients = [signed_in()] + [Client() for _ in range(WRITERS - 1)]
    for client in clients[1:]:
        client.cookies = clients[0].cookies
    assert "Set up your kitchen" in text(clients[0].get(reverse("kitchen-profile")))

    def save(number: int) -> None:
        page = clients[number].post(reverse("kitchen-profile"), {**PROFILE, "name": f"Kitchen {number}"})
        pages.append((page.status_code, text(page) if page.status_code != 302 else ""))

    raced(save)
    assert sorted(status for status, _ in pages) == [302] + [409] * (WRITERS - 1)
    winner = Kitchen.objects.get().name
    for status, words in pages:
        assert status == 302 or f"saved now {winner} , you entered Kitchen" in words
