"""A product's step cannot leave colder than what goes in hot: such a statement is refused, and answers nothing."""

from decimal import Decimal

import pytest

from catalog.book.revision import catalog_changed
from catalog.book.selectors import book_current
from catalog.cooling.missing_presenters import missing_sentence
from catalog.cooling.selectors import cooled
from catalog.products.models import Product
from catalog.products.services import ProductData, ProductFields, product_save
from catalog.recipes.models import Recipe, RecipeStep
from catalog.recipes.step_services import StepData
from catalog.records.errors import LeavesColder, RuleForHot
from catalog.taxes.models import TaxCategory
from orders.quotes.cooling.selectors import broken
from orders.quotes.send.services import quote_send
from orders.records.errors import CoolingRuleBroken
from tests.cooling_kitchen import cooling_kitchen_make
from tests.factories import BY, NOW
from tests.integration.orders.quotes.cooling.drafts import TART, drafted
from tests.refusals import refused

pytestmark = pytest.mark.django_db


def poured(leaves_c: str | None, *, minutes: str = "10", **columns: object) -> Product:
    """Let custard at 95 °C be poured into the tart, which is stated to leave that step at some temperature."""
    tart = cooling_kitchen_make()
    custard = Recipe.objects.get(code="custard")
    custard.steps.all().delete()
    RecipeStep.objects.create(recipe=custard, name="Boil", kind="cook", leaves_c=Decimal(95), hold_max=Decimal(30))
    tart.steps.filter(kind="bake").delete()
    fill = tart.steps.get(name="Line and fill")
    stated = None if leaves_c is None else Decimal(leaves_c)
    facts = {"kind": "fill", "leaves_c": stated, "minutes": Decimal(minutes), "hands_each": 0, **columns}
    tart.steps.filter(pk=fill.pk).update(**facts)
    catalog_changed()
    return tart


def test_a_statement_that_cannot_be_answers_nothing_and_stops() -> None:
    poured("3.33")
    missing = cooled([TART], book_current())[TART].missing
    assert missing is not None
    assert missing.reason.code == "colder_than_parts"
    assert missing_sentence(missing).startswith("“Line and fill” is stated to leave at 38 °F, and what goes in gives ")
    assert "Baked custard goes in hot" in missing_sentence(missing)
    assert [one.why for one in broken({TART: 24}, book_current()) if one.item.kind == "product"] == [
        "colder_than_parts"
    ]
    with refused(CoolingRuleBroken, match="Custard tart"):
        quote_send(quote_id=drafted().pk, by=BY, at=NOW)


def test_nothing_gets_colder_than_the_kitchen_however_long_it_stands() -> None:
    poured("3.33", minutes="240")
    missing = cooled([TART], book_current())[TART].missing
    assert missing is not None
    assert missing.reason.code == "colder_than_parts"


@pytest.mark.parametrize("leaves_c", ["70", "65"])
def test_what_can_be_is_taken_as_stated(leaves_c: str) -> None:
    poured(leaves_c)
    found = cooled([TART], book_current())[TART]
    assert found.missing is None
    assert [one.plan.initial_c for one in found.cycles] == [float(leaves_c)]


def test_a_cold_statement_after_a_stay_in_the_cold_is_another_matter() -> None:
    tart = poured("70")
    tart.steps.create(position=90, name="Dust", kind="finish", leaves_c=Decimal(4), hands_fixed=1)
    tart.steps.create(position=91, name="Keep", kind="chill", station=tart.steps.get(kind="chill").station, minutes=60)
    catalog_changed()
    missing = cooled([TART], book_current())[TART].missing
    assert missing is None or missing.reason.code != "colder_than_parts"


def saved(leaves_c: str, cooling_rule: str = "") -> Product:
    """Save a glass that takes hot custard and cold rice, and is stated to leave its filling at a temperature."""
    codes = ("custard", "quince")
    pks = dict(Recipe.objects.filter(code__in=codes).values_list("code", "pk"))
    fields = ProductFields(
        "Custard glass", "whole", TaxCategory.objects.values_list("pk", flat=True)[0], cooling_rule=cooling_rule
    )
    steps = (
        StepData("Fill the glasses", "fill", minutes=Decimal(10), leaves_c=Decimal(leaves_c)),
        StepData("Set", "chill", minutes=Decimal(600)),
    )
    data = ProductData(fields, tuple((pks[code], "100 g") for code in codes), (), steps)
    return product_save(product_id=None, data=data, version="", by=BY, at=NOW)


def test_it_is_refused_when_it_is_saved_and_nothing_is_stored() -> None:
    poured("70")
    with refused(LeavesColder, match="“Leaves at” of “Fill the glasses” is 38 °F, and what goes in gives "):
        saved("3.33")
    assert not Product.objects.filter(name="Custard glass").exists()
    assert book_current().product(TART).code == TART
    assert saved("60").name == "Custard glass"


def test_the_rule_for_room_temperature_is_refused_for_what_leaves_hot() -> None:
    poured("70")
    with refused(
        RuleForHot, match="“Fill the glasses” leaves it at 140 °F, so it is not made from ingredients at room"
    ):
        saved("60", cooling_rule="ambient")
    assert not Product.objects.filter(name="Custard glass").exists()
    assert saved("50", cooling_rule="ambient").cooling_rule == "ambient"
