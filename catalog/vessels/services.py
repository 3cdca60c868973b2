"""Vessels: save and delete."""

from dataclasses import asdict, dataclass
from datetime import datetime
from decimal import Decimal

from django.db import transaction

from catalog.book.revision import catalog_changed
from catalog.molds.models import Mold
from catalog.records.errors import ChangedMeanwhile
from catalog.records.reasons import Reason
from catalog.records.rows import remove
from catalog.records.versions import existing_unchanged, stored, version_mark
from catalog.vessels.models import Vessel
from catalog.vessels.selectors import vessel_users


@dataclass(frozen=True, slots=True)
class VesselData:
    """A vessel as its form checked it: inside measures in centimeters."""

    name: str
    kind: str
    owned: int | None = None
    diameter_cm: Decimal | None = None
    length_cm: Decimal | None = None
    width_cm: Decimal | None = None
    height_cm: Decimal | None = None
    wall: str = Mold.Wall.METAL.value


def vessel_version(vessel: Vessel) -> str:
    """Return the version of a vessel as stored."""
    return version_mark(stored(vessel, VesselData.__dataclass_fields__))


@transaction.atomic(durable=True)
def vessel_save(*, vessel_id: int | None, data: VesselData, by: str, at: datetime, version: str = "") -> Vessel:
    """Save a vessel.

    Raises
    ------
    Overtaken
        When its version is no longer ``version``.
    ChangedMeanwhile
        When the vessel was deleted, or another vessel has its name by now.
    """
    vessel = Vessel() if vessel_id is None else existing_unchanged(Vessel, vessel_id, version, vessel_version)
    if Vessel.objects.filter(name=data.name).exclude(pk=vessel.pk).exists():
        raise ChangedMeanwhile(what=data.name)
    for name, value in asdict(data).items():
        setattr(vessel, name, value)
    vessel.save()
    catalog_changed()
    return vessel


@transaction.atomic(durable=True)
def vessel_delete(*, vessel_id: int, by: str, at: datetime) -> None:
    """Delete a vessel no recipe cools in.

    Raises
    ------
    InUse
        When a step of a recipe still names it.
    """
    vessel = Vessel.objects.filter(pk=vessel_id).first()
    if vessel is None:
        return
    names = [recipe.name for recipe in vessel_users(vessel)]
    remove(vessel, what=vessel.name, users=[Reason("names", {"names": names})] if names else [])
    catalog_changed()
