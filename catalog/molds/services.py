"""Molds: save and delete."""

from dataclasses import asdict, dataclass
from datetime import datetime
from decimal import Decimal

from django.db import transaction

from catalog.book.revision import catalog_changed
from catalog.molds.models import Mold
from catalog.products.models import Product
from catalog.records.errors import ChangedMeanwhile
from catalog.records.reasons import Reason
from catalog.records.rows import remove
from catalog.records.versions import existing_unchanged, stored, version_mark


@dataclass(frozen=True, slots=True)
class MoldData:
    """A mold as its form checked it: inside measures in centimetres."""

    name: str
    shape: str
    owned: int
    diameter_cm: Decimal | None = None
    length_cm: Decimal | None = None
    width_cm: Decimal | None = None
    height_cm: Decimal | None = None
    wall: str = Mold.Wall.METAL.value


def mold_version(mold: Mold) -> str:
    """Return the version of a mold as stored."""
    return version_mark(stored(mold, MoldData.__dataclass_fields__))


@transaction.atomic(durable=True)
def mold_save(*, mold_id: int | None, data: MoldData, by: str, at: datetime, version: str = "") -> Mold:
    """Save a mold. Products whose load equaled the number owned get the new number as their load.

    Raises
    ------
    Overtaken
        When its version is no longer ``version``.
    ChangedMeanwhile
        When the mold was deleted, or another mold has its name by now.
    """
    mold = Mold() if mold_id is None else existing_unchanged(Mold, mold_id, version, mold_version)
    if Mold.objects.filter(name=data.name).exclude(pk=mold.pk).exists():
        raise ChangedMeanwhile(what=data.name)
    owned = mold.owned
    for name, value in asdict(data).items():
        setattr(mold, name, value)
    mold.save()
    if mold_id is not None and owned != data.owned:
        Product.objects.filter(mold=mold, load=owned).update(load=data.owned)
    catalog_changed()
    return mold


@transaction.atomic(durable=True)
def mold_delete(*, mold_id: int, by: str, at: datetime) -> None:
    """Delete a mold no product is made in.

    Raises
    ------
    InUse
        When products are still made in it.
    """
    mold = Mold.objects.filter(pk=mold_id).first()
    if mold is None:
        return
    names = list(mold.products.order_by("name").values_list("name", flat=True))
    remove(mold, what=mold.name, users=[Reason("names", {"names": names})] if names else [])
    catalog_changed()
