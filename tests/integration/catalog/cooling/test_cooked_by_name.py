"""What is called baked or boiled was cooked: its later cooling is judged by the rule for cooked food."""

from decimal import Decimal

import pytest

from catalog.book.revision import catalog_changed
from catalog.book.selectors import book_current
from catalog.cooling.selectors import cooled
from catalog.products.models import Product, ProductStep
from catalog.rates.models import Station
from catalog.recipes.models import Recipe
from costing.chilling import AMBIENT, COOKED, PROFILES
from orders.quotes.cooling.selectors import broken
from tests.cooling_kitchen import cooling_kitchen_make

pytestmark = pytest.mark.django_db
TART = "custard-tart"


def coated(*before: tuple[str, str, str | None]) -> None:
    """Let the tart go through these steps, each with its kind, name and leaving temperature, and a coat at 43 °F."""
    cooling_kitchen_make()
    tart, cold = Product.objects.get(code=TART), Station.objects.get(code="cold-room")
    tart.steps.all().delete()
    every = [("fill", "Fill", None), *before, ("finish", "Coat", "6.1"), ("chill", "Set", None)]
    for at, (kind, name, leaves) in enumerate(every):
        ProductStep.objects.create(
            product=tart,
            position=at,
            kind=kind,
            name=name,
            minutes=Decimal(1400 if kind == "chill" else 20),
            leaves_c=None if leaves is None else Decimal(leaves),
            station=cold if kind == "chill" else None,
        )
    catalog_changed()


def rules() -> list[str]:
    return [cycle.plan.rule.title for cycle in cooled([TART], book_current())[TART].cycles]


@pytest.mark.parametrize("before", [[("finish", "Bake", None)], [("finish", "Bake", None), ("chill", "Cool", None)]])
def test_nothing_called_after_heat_is_judged_as_made_at_room_temperature(before: list[tuple[str, str, None]]) -> None:
    coated(*before)
    assert PROFILES[AMBIENT].title not in rules()
    (one,) = (one for one in broken({TART: 24}, book_current()) if one.item.kind == "product")
    assert one.why in ("hot_before", "heat_in_step")
    assert one.rule == PROFILES[COOKED].title


def test_what_was_cold_after_its_stated_heat_is_not_cooked_again() -> None:
    coated(("bake", "Bake", "80"), ("chill", "Cool", None))
    assert rules()[-1] == PROFILES[AMBIENT].title


def test_heat_of_what_is_safe_at_room_temperature_is_of_no_account() -> None:
    """A case is baked through and chilled; what goes onto it then was never hot."""
    coated(("chill", "Cool", None))
    source = "Water activity 0.30, measured by a laboratory, report 12"
    Recipe.objects.filter(code="paste").update(shelf_stable=True, shelf_stable_source=source)
    steps = ProductStep.objects.filter(product__code=TART)
    steps.filter(name="Fill").update(kind="bake", name="Bake the case", takes=["paste"])
    steps.filter(name="Coat").update(takes=["custard"])
    catalog_changed()
    assert "hot_before" not in [one.why for one in broken({TART: 24}, book_current())]
    assert rules() == [PROFILES[AMBIENT].title]
    steps.filter(name="Bake the case").update(takes=["paste", "custard"])
    steps.filter(name="Coat").update(takes=[])
    catalog_changed()
    assert PROFILES[AMBIENT].title not in rules()
