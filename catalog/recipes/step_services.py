"""Writing steps, shared by recipes and products."""

from collections.abc import Iterable, Sequence
from dataclasses import asdict, dataclass
from decimal import Decimal
from typing import Any, Final

from django.db import models

from catalog.products.models import Product, ProductStep
from catalog.rates.models import Role, Station
from catalog.recipes.models import Recipe, RecipeStep, Step
from catalog.records.errors import ChangedMeanwhile
from catalog.records.reasons import Reason
from catalog.vessels.models import Vessel


@dataclass(frozen=True, slots=True)
class StepData:
    """One step of work or waiting, checked by its form."""

    name: str = ""
    kind: str = "work"
    role_id: int | None = None
    hands_fixed: Decimal = Decimal(0)
    hands_each: Decimal = Decimal(0)
    station_id: int | None = None
    minutes: Decimal | None = None
    temperature_c: Decimal | None = None
    wait_min: Decimal | None = None
    hold_max: Decimal | None = None
    text: str = ""
    #: Temperature of the middle when the step ends [°C].
    leaves_c: Decimal | None = None
    #: How long somebody is needed; empty: as usual for its kind.
    attended: str = ""
    #: Of a recipe's step alone: what the hot batch stands in, and its ice bath.
    vessel_id: int | None = None
    vessels: int | None = None
    depth_cm: Decimal | None = None
    covered: bool = False
    ice_bath: bool = False
    stir_min: Decimal | None = None
    bath_to_c: Decimal | None = None
    bath_min: Decimal | None = None
    #: Of a product's step alone: codes of the recipes it takes in, how warm [°C], how they join what is there, and
    #: whether the mold is free again after it.
    takes: tuple[str, ...] = ()
    takes_c: Decimal | None = None
    takes_as: str = ProductStep.TakesAs.MIXED.value
    frees_mold: bool = False


STANDING: Final = ("vessel_id", "vessels", "depth_cm", "covered", "ice_bath", "stir_min", "bath_to_c", "bath_min")
OF_PRODUCTS: Final = ("takes", "takes_c", "takes_as", "frees_mold")


def still_there(model: type[models.Model], pks: Iterable[int | None]) -> None:
    """Check that rows chosen on a page have not been deleted since; call it inside a transaction.

    Raises
    ------
    ChangedMeanwhile
        When one is gone.
    """
    wanted = {pk for pk in pks if pk is not None}
    if len(wanted) != model._default_manager.filter(pk__in=wanted).count():
        raise ChangedMeanwhile(what=Reason("chosen", {"kind": str(model._meta.verbose_name)}))


def step_versions(steps: Iterable[Step]) -> list[list[str]]:
    """Return the content of steps that the version of a recipe or product is computed from."""
    names = [field.attname for field in Step._meta.get_fields() if hasattr(field, "attname")]
    # A recipe's steps lack what a product's have, and the other way round.
    return [[str(getattr(step, name, None)) for name in (*names, *STANDING, *OF_PRODUCTS)] for step in steps]


def _steps_sound(steps: Sequence[StepData]) -> None:
    still_there(Role, (step.role_id for step in steps))
    still_there(Station, (step.station_id for step in steps))


def recipe_steps_replace(*, recipe: Recipe, steps: Sequence[StepData]) -> None:
    """Replace a recipe's steps; without a transaction of its own."""
    _steps_sound(steps)
    still_there(Vessel, (step.vessel_id for step in steps))
    recipe.steps.all().delete()
    RecipeStep.objects.bulk_create(
        RecipeStep(recipe=recipe, position=place, **_row(step, OF_PRODUCTS)) for place, step in enumerate(steps)
    )


def _row(step: StepData, without: Sequence[str]) -> dict[str, Any]:
    return {name: value for name, value in asdict(step).items() if name not in without}


def product_steps_replace(*, product: Product, steps: Sequence[StepData]) -> None:
    """Replace a product's steps; without a transaction of its own."""
    _steps_sound(steps)
    product.steps.all().delete()
    ProductStep.objects.bulk_create(
        ProductStep(product=product, position=place, **_row(step, STANDING)) for place, step in enumerate(steps)
    )
