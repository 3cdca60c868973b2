"""What is written of the kitchen's usual payment schedule."""

from collections.abc import Sequence
from decimal import Decimal

from django.db import transaction

from catalog.book.revision import catalog_changed
from catalog.kitchen.models import Kitchen
from catalog.kitchen.payment_schedule import PaymentRow, payments_stored
from catalog.records.versions import existing_unchanged, stored, version_mark

_COLUMNS = ("deposit_share", "deposit_minor", "payments_before")


def payments_version(kitchen: Kitchen) -> str:
    """Return the version of the payment schedule as stored; empty before there is a kitchen."""
    return "" if kitchen._state.adding else version_mark(stored(kitchen, _COLUMNS))


@transaction.atomic(durable=True)
def payments_save(
    *, deposit_share: Decimal, deposit_minor: int | None, rows: Sequence[PaymentRow], version: str = ""
) -> Kitchen:
    """Set the usual payment schedule: quotes that are drafted later begin with it; those before keep theirs.

    Raises
    ------
    ChangedMeanwhile
        There is no kitchen yet.
    Overtaken
        Its version is no longer ``version``.
    """
    home = existing_unchanged(Kitchen, 1, version, payments_version)
    home.deposit_share, home.deposit_minor, home.payments_before = deposit_share, deposit_minor, payments_stored(rows)
    home.save(update_fields=list(_COLUMNS))
    catalog_changed()
    return home
