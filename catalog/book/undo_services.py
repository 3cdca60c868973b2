"""What was deleted from the catalog is brought back."""

from django.db import transaction

from catalog.book.revision import catalog_changed
from catalog.records.undo import rows_bring_back


@transaction.atomic(durable=True)
def undo(*, taken: str) -> None:
    """Bring back rows that were deleted, with all that went with them.

    Raises
    ------
    CannotUndo
        When they are back already, their place is taken, or what they need is gone.
    """
    rows_bring_back(taken)
    catalog_changed()
