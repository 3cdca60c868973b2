"""A part of the kitchen's row that has a page, and so a version, of its own: the bank account, a table of the terms."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from django.db import transaction

from catalog.book.revision import catalog_changed
from catalog.kitchen.models import Kitchen
from catalog.records.versions import existing_unchanged, stored, version_mark


@dataclass(frozen=True, slots=True)
class KitchenPart:
    """Some columns of the kitchen's row that are edited together."""

    fields: tuple[str, ...]

    def version(self, kitchen: Kitchen) -> str:
        """Return the version of these columns as stored; empty before there is a kitchen."""
        return "" if kitchen._state.adding else version_mark(stored(kitchen, self.fields))

    @transaction.atomic(durable=True)
    def save(self, columns: Mapping[str, Any], *, version: str = "") -> Kitchen:
        """Set all of these columns, a foreign key by its key; what was drafted or issued before has its own.

        Raises
        ------
        ChangedMeanwhile
            There is no kitchen yet.
        Overtaken
            Their version is no longer ``version``.
        """
        home = existing_unchanged(Kitchen, 1, version, self.version)
        for name in self.fields:
            setattr(home, home._meta.get_field(name).attname, columns[name])  # type: ignore[union-attr]  # columns only
        home.save(update_fields=list(self.fields))
        catalog_changed()
        return home


#: Where customers pay.
BANK = KitchenPart(("bank_holder", "bank_iban", "bank_bic", "bank_routing", "bank_account", "payment_page"))
#: What customers usually pay when: quotes that are drafted later begin with it.
PAYMENTS = KitchenPart(("deposit_share", "deposit_minor", "payments_before", "payments_after", "balance_days"))
#: What is kept of a canceled order, and its tax category (None: asked each time); later drafts begin with the table.
CANCELLATION = KitchenPart(("cancellation_table", "cancellation_tax"))
