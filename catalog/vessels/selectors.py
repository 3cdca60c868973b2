"""Which recipes cool in a vessel, and how much each vessel holds."""

from dataclasses import dataclass
from fractions import Fraction

from django.db.models import Count

from catalog.molds.models import Mold
from catalog.molds.pans import Pan
from catalog.recipes.models import Recipe
from catalog.vessels.models import Vessel


@dataclass(frozen=True, slots=True)
class VesselRow:
    """A vessel in the list, its volume to the rim [ml], and how many recipes cool in it."""

    vessel: Vessel
    volume: Fraction | None
    uses: int


def vessel_list() -> list[VesselRow]:
    """Return all vessels by name; one query."""
    counted = Vessel.objects.annotate(uses=Count("recipe_steps__recipe", distinct=True))
    return [VesselRow(vessel, _volume(vessel), vessel.uses) for vessel in counted]


def vessel_users(vessel: Vessel) -> list[Recipe]:
    """Return the recipes with a step that stands in a vessel, by name."""
    return list(Recipe.objects.filter(steps__vessel=vessel).distinct().order_by("name"))


def _volume(vessel: Vessel) -> Fraction | None:
    shape = Mold.Shape.BLOCK if vessel.diameter_cm is None else Mold.Shape.ROUND
    sizes = (vessel.diameter_cm, vessel.length_cm, vessel.width_cm, vessel.height_cm)
    return Pan(shape, *(None if size is None else Fraction(size) for size in sizes)).volume
