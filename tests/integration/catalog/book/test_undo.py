"""What the owner deletes can be brought back from the message that says so."""

import re
from datetime import timedelta
from decimal import Decimal

import pytest
from django.db import models
from django.test import Client
from django.urls import reverse

from catalog.kitchen.models import Kitchen
from catalog.molds.models import Mold
from catalog.pantry.models import Ingredient, Pack, Part, Supplier
from catalog.pantry.services import pack_add
from catalog.price_rules.models import PriceRule
from catalog.products.models import Product
from catalog.recipes.models import Recipe
from tests import factories
from tests.integration.catalog.editor_forms import recipe_form_data
from tests.integration.forms_on_pages import save_edit

pytestmark = pytest.mark.django_db


@pytest.fixture
def owner(client: Client) -> Client:
    factories.kitchen_make()
    client.force_login(factories.user_make())
    return client


def everything() -> dict[str, list[dict[str, object]]]:
    tables: list[type[models.Model]] = [Recipe, Product, Mold, Ingredient, Pack, Part, Supplier]
    tables += [Recipe.lines.rel.related_model, Recipe.steps.rel.related_model]
    return {table.__name__: list(table._default_manager.order_by("pk").values()) for table in tables}


def undo(owner: Client, page: str) -> str:
    (address,) = re.findall(r'action="([^"]*/undo/[^"]*)"', page)
    return owner.post(address, follow=True).content.decode()


def test_a_recipe_comes_back_with_its_lines_and_steps(owner: Client) -> None:
    owner.post(reverse("recipe-new"), recipe_form_data([("1 kg", "Granulated sugar"), ("2 each", "Large eggs")]))
    recipe, before = Recipe.objects.get(name="Nib brittle"), everything()
    revision = Kitchen.objects.get().revision
    page = owner.post(reverse("recipe-delete", args=[recipe.pk]), follow=True).content.decode()
    assert "Nib brittle is deleted." in page
    assert not Recipe.objects.filter(pk=recipe.pk).exists()
    page = undo(owner, page)
    assert "Nib brittle is restored." in page
    assert everything() == before
    assert Kitchen.objects.get().revision == revision + 2


def test_an_undo_is_done_once_and_not_where_the_name_is_taken(owner: Client) -> None:
    supplier = Supplier.objects.create(name="Alder dairy")
    page = owner.post(reverse("supplier-delete", args=[supplier.pk]), follow=True).content.decode()
    another = Supplier.objects.create(name="Alder dairy")
    assert "cannot be undone any more" in undo(owner, page)
    assert list(Supplier.objects.filter(name="Alder dairy")) == [another]
    assert "cannot be undone any more" in undo(owner, page)


def test_nobody_else_undoes_it(owner: Client) -> None:
    mold = Mold.objects.create(name="Fluted tin", diameter_cm=Decimal(20), height_cm=Decimal(4))
    page = owner.post(reverse("mold-delete", args=[mold.pk]), follow=True).content.decode()
    other = Client()
    other.force_login(factories.user_make("owner", name="another"))
    assert "cannot be undone any more" in undo(other, page)
    assert not Mold.objects.filter(pk=mold.pk).exists()
    undo(owner, page)
    assert Mold.objects.filter(pk=mold.pk).exists()


def test_a_suppliers_packs_lose_and_get_back_their_supplier_with_it(owner: Client) -> None:
    supplier = Supplier.objects.create(name="Alder dairy")
    before = everything()
    page = owner.post(reverse("supplier-delete", args=[supplier.pk]), follow=True).content.decode()
    undo(owner, page)
    assert everything() == before


def test_a_removed_price_comes_back_and_ends_the_one_before_it_again(owner: Client) -> None:
    old = Pack.objects.filter(ends=None).earliest("pk")
    supplier = old.supplier.name if old.supplier else ""
    starts = old.starts + timedelta(days=400)
    facts = {"size": old.size, "price": old.price + 1, "supplier": supplier, "preferred": False}
    new = pack_add(ingredient_id=old.ingredient_id, starts=starts, **facts)
    before = everything()
    assert save_edit(owner, reverse("pack", args=[new.pk]), {"do": "remove"}).status_code == 302
    old.refresh_from_db()
    assert old.ends is None
    assert not Pack.objects.filter(pk=new.pk).exists()
    undo(owner, owner.get(reverse("ingredient", args=[old.ingredient_id])).content.decode())
    assert everything() == before


def test_a_price_rule_comes_back_by_the_name_of_its_list(owner: Client) -> None:
    rule = PriceRule.objects.create(code="house-2", margin=Decimal("0.5"))
    page = owner.post(reverse("kitchen-rules-delete", args=[rule.pk]), follow=True).content.decode()
    assert "The price rule “Everything” is deleted." in page
    assert "The price rule “Everything” is restored." in undo(owner, page)
