"""The cooling kitchen with a custard that is boiled, stands in a vessel, and chills in the cold room."""

from decimal import Decimal
from typing import Any

from catalog.book.revision import catalog_changed
from catalog.rates.models import Station
from catalog.recipes.models import Recipe, RecipeStep
from catalog.vessels.models import Vessel
from tests.cooling_kitchen import cooling_kitchen_make


def batch_kitchen_make(*, chill_min: str = "240", profile: dict[str, Any] | None = None, **hot: Any) -> Recipe:
    """Let the custard leave at 80 °C into a tub of 25 by 16 by 6 cm; ``hot`` sets columns of its boiling step."""
    cooling_kitchen_make(**(profile or {}))
    tub = Vessel.objects.create(
        name="Tub", length_cm=Decimal(25), width_cm=Decimal(16), height_cm=Decimal(6), owned=4, wall="plastic"
    )
    Vessel.objects.create(
        name="Hotel pan", kind="hotel pan", length_cm=Decimal(50), width_cm=Decimal(30), height_cm=Decimal(6), owned=3
    )
    custard = Recipe.objects.get(code="custard")
    columns = {"name": "Boil", "kind": "cook", "leaves_c": Decimal(80), "vessel": tub} | hot
    custard.steps.update(**columns)
    RecipeStep.objects.create(
        recipe=custard,
        position=9,
        name="Set in the cold",
        kind="chill",
        station=Station.objects.get(code="cold-room"),
        minutes=Decimal(chill_min),
    )
    catalog_changed()
    return custard
