"""The owner brings her recipes from a spreadsheet: two rows are wrong, one name is unknown; it can all be undone."""

from collections.abc import Callable
from decimal import Decimal
from typing import Any

import pytest
from django.contrib.auth.models import User
from django.utils import timezone
from playwright.sync_api import Page, expect

from catalog.outbox.models import Outbox
from catalog.outbox.services import outbox_run
from catalog.pantry.models import Ingredient
from catalog.recipes.models import Recipe
from tests.browser.conftest import OpenPage, save_picture
from tests.factories import kitchen_make, user_make

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

RECIPES = """Recipes 2026,,,
Recipe,Amount,Ingredient,Note
TARTS,,,
Almond tart,2 sticks,Butter,softened
,1 1/2 c,Flour,
,300 g,Pastry cream,

Pastry cream,8 oz,Milk,
,2 flurbs,Butter,
Brittle,,Flour,
Brittle,90 g,Isomalt,
Short dough,500 g,Flour,
"""


@pytest.fixture
def owner(db: None) -> User:
    kitchen_make()
    for name, density in (("Butter", "0.96"), ("Flour", "0.53"), ("Milk", "1.03")):
        Ingredient.objects.get_or_create(
            name=name, defaults={"code": f"sheet-{name.lower()}", "density": Decimal(density)}
        )
    return user_make()


def read() -> None:
    """Do what the outbox does in its own process."""
    assert outbox_run(row_id=Outbox.objects.filter(kind="spreadsheet").latest("pk").pk, at=timezone.now())


def test_recipes_with_two_bad_rows(
    live_server: Any, open_page: OpenPage, owner: User, sign_in: Callable[..., None], axe: Callable[[Page], list[str]]
) -> None:
    page = open_page()
    sign_in(page, owner)
    page.goto(f"{live_server.url}/catalog/recipes/")
    page.get_by_role("link", name="Import from a spreadsheet").click()
    assert page.get_by_label("The file holds").input_value() == "recipes"
    save_picture(page, "spreadsheets")
    file = {"name": "mine.csv", "mimeType": "text/csv", "buffer": RECIPES.encode()}
    page.get_by_label("File", exact=True).set_input_files(files=[file])  # type: ignore[list-item]  # a file's payload
    page.get_by_role("button", name="Upload file").click()
    expect(page.get_by_text("The file is being read")).to_be_visible()
    read()
    expect(page.get_by_role("button", name="Import 1 record")).to_be_visible()
    expect(page.get_by_text("Are ounces of Milk a weight or a volume?")).to_be_visible()
    assert axe(page) == []
    save_picture(page, "spreadsheet-read")

    questions = page.locator(".corrections").first.locator("li")
    questions.filter(has_text="ounces of Milk").get_by_label("Answer").select_option("By volume (fl oz)")
    questions.filter(has_text="Isomalt").get_by_label("Answer").select_option("Add it as a new ingredient")
    rows = page.locator(".corrections").last.locator("li")
    expect(rows).to_have_count(2)
    rows.filter(has_text="Row 9").get_by_label("Amount").fill("2 T")
    rows.filter(has_text="Row 10").get_by_label("Amount").fill("200 g")
    page.get_by_role("button", name="Save corrections").click()
    expect(page.get_by_text("Every row can be imported.")).to_be_visible()
    page.get_by_role("button", name="Import 4 records").click()
    expect(page.get_by_text("4 records are imported.")).to_be_visible()
    lines = Recipe.objects.get(name="Pastry cream").lines.values_list("amount", flat=True)
    assert list(lines) == ["8 fl_oz", "2 tbsp"]

    page.set_viewport_size({"width": 320, "height": 900})
    assert axe(page) == []
    save_picture(page, "spreadsheet-imported-320")
    page.get_by_role("button", name="Undo import").click()
    expect(
        page.get_by_text("The import is undone: 4 records are removed or as they were before.").first
    ).to_be_visible()
    assert not Recipe.objects.filter(name="Pastry cream").exists()
