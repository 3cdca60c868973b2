"""Tax categories and their dated rates: save, delete, add and remove."""

from datetime import date
from decimal import Decimal

from django.db import transaction

from catalog.book.revision import catalog_changed
from catalog.records.errors import ChangedMeanwhile, RateInForce
from catalog.records.rows import existing, new_row, remove
from catalog.records.uses import users_of
from catalog.records.versions import existing_unchanged, stored, version_mark
from catalog.taxes.models import TaxCategory, TaxRate


def tax_version(tax: TaxCategory) -> str:
    """Return the version of a tax category as stored; its rates are rows of their own, added and never changed."""
    return version_mark(stored(tax))


@transaction.atomic(durable=True)
def tax_save(*, tax_id: int | None, name: str, untdid: str, exempt_reason: str, version: str = "") -> TaxCategory:
    """Create or change a tax category; its code is made from the first name and stays.

    Raises
    ------
    Overtaken
        Its version is no longer ``version``.
    ChangedMeanwhile
        Somebody deleted it since the page was opened.
    """
    if tax_id is None:
        # In a Book the code “goods” means that delivery is taxed as the goods delivered.
        tax = new_row(TaxCategory, name, otherwise="tax", reserved=["goods"])
    else:
        tax = existing_unchanged(TaxCategory, tax_id, version, tax_version)
    tax.name, tax.untdid, tax.exempt_reason = name, untdid, exempt_reason
    tax.save()
    catalog_changed()
    return tax


@transaction.atomic(durable=True)
def tax_delete(*, tax_id: int) -> None:
    """Delete a tax category with its rates.

    Raises
    ------
    InUse
        A product, delivery or a document still names it.
    """
    remove(existing(TaxCategory, tax_id))
    catalog_changed()


@transaction.atomic(durable=True)
def rate_add(*, tax_id: int, rate: Decimal, starts: date) -> None:
    """Add a rate from a date on; earlier rates stay as history.

    Raises
    ------
    ChangedMeanwhile
        Somebody deleted the category, or added a rate of that day, since the page was opened.
    """
    tax = existing(TaxCategory, tax_id)
    if tax.rates.filter(starts=starts).exists():
        raise ChangedMeanwhile(what=str(tax))
    row = TaxRate(category=tax, starts=starts, position=tax.rates.count())
    row.rate = rate
    row.save()
    catalog_changed()


@transaction.atomic(durable=True)
def rate_remove(*, rate_id: int, today: date) -> None:
    """Remove a rate that is not in force yet.

    Raises
    ------
    RateInForce
        It is or was in force.
    ChangedMeanwhile
        Somebody removed it already.
    """
    row = existing(TaxRate, rate_id)
    if row.starts <= today and users_of(row.category):
        raise RateInForce(what=str(row.category))
    row.delete()
    catalog_changed()
