"""What is written of the kitchen's bank account and payment page."""

from collections.abc import Mapping

from django.db import transaction

from catalog.book.revision import catalog_changed
from catalog.kitchen.models import Kitchen
from catalog.records.versions import existing_unchanged, stored, version_mark

_COLUMNS = ("bank_holder", "bank_iban", "bank_bic", "bank_routing", "bank_account", "payment_page")


def bank_version(kitchen: Kitchen) -> str:
    """Return the version of the bank account and the payment page as stored; empty before there is a kitchen."""
    return "" if kitchen._state.adding else version_mark(stored(kitchen, _COLUMNS))


@transaction.atomic(durable=True)
def bank_save(*, columns: Mapping[str, str], version: str = "") -> Kitchen:
    """Set the bank account and the payment page; documents that are issued already keep theirs.

    Raises
    ------
    ChangedMeanwhile
        There is no kitchen yet.
    Overtaken
        Its version is no longer ``version``.
    """
    home = existing_unchanged(Kitchen, 1, version, bank_version)
    for name in _COLUMNS:
        setattr(home, name, columns[name])
    home.save(update_fields=list(_COLUMNS))
    catalog_changed()
    return home
