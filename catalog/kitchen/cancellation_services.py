"""What is written of the kitchen's cancellation table."""

from collections.abc import Sequence

from django.db import transaction

from catalog.book.revision import catalog_changed
from catalog.kitchen.cancellation import RetainedRow, rows_stored
from catalog.kitchen.models import Kitchen
from catalog.records.versions import existing_unchanged, stored, version_mark


def cancellation_version(kitchen: Kitchen) -> str:
    """Return the version of the cancellation table and its tax, as stored; empty before there is a kitchen."""
    names = ("cancellation_table", "cancellation_tax")
    return "" if kitchen._state.adding else version_mark(stored(kitchen, names))


@transaction.atomic(durable=True)
def cancellation_save(*, rows: Sequence[RetainedRow], tax_id: int | None, version: str = "") -> Kitchen:
    """Set the usual cancellation table, and the tax category of what is kept (None: asked each time).

    Quotes that are drafted later begin with the table; those before keep theirs.

    Raises
    ------
    ChangedMeanwhile
        There is no kitchen yet.
    Overtaken
        Its version is no longer ``version``.
    """
    home = existing_unchanged(Kitchen, 1, version, cancellation_version)
    home.cancellation_table, home.cancellation_tax_id = rows_stored(rows), tax_id
    home.save(update_fields=["cancellation_table", "cancellation_tax"])
    catalog_changed()
    return home
