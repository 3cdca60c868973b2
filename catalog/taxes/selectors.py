"""Tax categories as the owner reads them."""

from dataclasses import dataclass
from datetime import date

from catalog.taxes.models import TaxCategory, TaxRate


@dataclass(frozen=True, slots=True)
class TaxRow:
    """A tax category with its rates: the current one, future ones and past ones."""

    tax: TaxCategory
    in_force: TaxRate | None
    to_come: tuple[TaxRate, ...]
    past: tuple[TaxRate, ...]


def tax_rows(*, today: date) -> list[TaxRow]:
    """Return the tax categories with their rates; two queries."""
    return [tax_row(tax, today=today) for tax in TaxCategory.objects.prefetch_related("rates")]


def tax_row(tax: TaxCategory, *, today: date) -> TaxRow:
    """Sort a category's rates by date into current, future and past."""
    rates = sorted(tax.rates.all(), key=lambda rate: rate.starts)
    begun = [rate for rate in rates if rate.starts <= today]
    return TaxRow(
        tax=tax,
        in_force=begun[-1] if begun else None,
        to_come=tuple(rate for rate in rates if rate.starts > today),
        past=tuple(reversed(begun[:-1])),
    )
