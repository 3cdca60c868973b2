"""What the kitchen usually serves: pieces of products for each guest, counted where nothing is chosen yet."""

from collections.abc import Mapping
from decimal import Decimal

from django.db import transaction

from catalog.book.revision import catalog_changed
from catalog.kitchen.models import Kitchen
from catalog.products.models import Product
from catalog.records.errors import ChangedMeanwhile
from catalog.records.reasons import Reason
from catalog.records.versions import locked, unchanged, version_mark


def usual_now() -> dict[int, Decimal]:
    """Return the pieces for each guest by key of a product, in the order of the products; one query."""
    rows = Product.objects.filter(usual_pieces__isnull=False).order_by("position", "pk")
    return {key: pieces for key, pieces in rows.values_list("pk", "usual_pieces") if pieces is not None}


def usual_version(_: Kitchen) -> str:
    """Return the version of what is usual, as stored."""
    return version_mark([(key, str(pieces)) for key, pieces in usual_now().items()])


@transaction.atomic(durable=True)
def usual_save(*, pieces: Mapping[int, Decimal], version: str = "") -> None:
    """Replace what is usual; ``pieces`` are those for each guest by key of a product.

    Raises
    ------
    ChangedMeanwhile
        When a product was deleted.
    Overtaken
        Its version is no longer ``version``.
    """
    unchanged(locked(Kitchen, 1) or Kitchen(pk=1), version, usual_version, name=Reason("the_usual"))
    rows = {row.pk: row for row in Product.objects.select_for_update().filter(pk__in=pieces)}
    if len(rows) < len(pieces):
        raise ChangedMeanwhile(what=Reason("the_kind", {"kind": "product"}))
    Product.objects.exclude(pk__in=pieces).filter(usual_pieces__isnull=False).update(usual_pieces=None)
    for key, each in pieces.items():
        rows[key].usual_pieces = each
    Product.objects.bulk_update(rows.values(), ["usual_pieces"])
    catalog_changed()
