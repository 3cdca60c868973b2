"""Moulds: keep and delete."""

from dataclasses import asdict, dataclass
from datetime import datetime
from decimal import Decimal

from django.db import transaction

from catalog.errors import ChangedMeanwhile, InUse
from catalog.models import Mould, Product
from catalog.services.recipes import listed
from catalog.services.revision import catalogue_changed


@dataclass(frozen=True, slots=True)
class MouldKeep:
    """A mould as its form checked it: inside measures in centimetres."""

    name: str
    shape: str
    owned: int
    diameter_cm: Decimal | None = None
    length_cm: Decimal | None = None
    width_cm: Decimal | None = None
    height_cm: Decimal | None = None
    wall: str = Mould.Wall.METAL.value


@transaction.atomic(durable=True)
def mould_save(*, mould_id: int | None, keep: MouldKeep, by: str, at: datetime) -> Mould:
    """Keep a mould. Products whose load was as many as were owned follow the new count.

    Raises
    ------
    ChangedMeanwhile
        When the mould is gone, or another has its name by now.
    """
    mould = Mould() if mould_id is None else Mould.objects.filter(pk=mould_id).first()
    if mould is None or Mould.objects.filter(name=keep.name).exclude(pk=mould.pk).exists():
        raise ChangedMeanwhile(what=keep.name)
    owned = mould.owned
    for name, value in asdict(keep).items():
        setattr(mould, name, value)
    mould.save()
    if mould_id is not None and owned != keep.owned:
        Product.objects.filter(mould=mould, load=owned).update(load=keep.owned)
    catalogue_changed()
    return mould


@transaction.atomic(durable=True)
def mould_delete(*, mould_id: int, by: str, at: datetime) -> None:
    """Delete a mould no product is made in.

    Raises
    ------
    InUse
        When products are still made in it.
    """
    mould = Mould.objects.filter(pk=mould_id).first()
    if mould is None:
        return
    users = list(mould.products.order_by("name").values_list("name", flat=True))
    if users:
        raise InUse(what=mould.name, users=listed(users))
    mould.delete()
    catalogue_changed()
