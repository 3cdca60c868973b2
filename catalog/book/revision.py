"""The Book's revision number: every change of the catalog increments it, in the same transaction."""

from django.db.models import F

from catalog.kitchen.models import Kitchen


def catalog_changed() -> None:
    """Increment the Book's revision; call it in the transaction of every change to what pricing reads."""
    Kitchen.objects.filter(pk=1).update(revision=F("revision") + 1)
