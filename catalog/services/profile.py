"""The kitchen's profile."""

from typing import Any

from django.db import transaction

from catalog.errors import CurrencyLocked
from catalog.models import Kitchen
from catalog.selectors.currency import currency_locked
from catalog.services.revision import catalogue_changed


@transaction.atomic(durable=True)
def profile_save(*, facts: dict[str, Any]) -> Kitchen:
    """Write the profile, setting the kitchen up when there is none; ``facts`` are checked values by column.

    Raises
    ------
    CurrencyLocked
        The currency would change although documents are written in it.
    """
    before = Kitchen.objects.filter(pk=1).first()
    if before is not None and facts.get("currency", before.currency) != before.currency and currency_locked():
        raise CurrencyLocked(currency=before.currency)
    kitchen, _ = Kitchen.objects.update_or_create(pk=1, defaults=facts)
    catalogue_changed()
    return kitchen
