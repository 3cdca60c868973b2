"""Pictures from what the selectors found."""

from collections.abc import Sequence

from django.utils.safestring import SafeString

from catalog.web.charts import Age as Bar
from catalog.web.charts import receivables
from orders.invoices.receivables import Age


def ages_picture(ages: Sequence[Age], currency: str) -> SafeString:
    """Draw what is owed by age."""
    bars = [Bar(f"{age.name}{' late' if place else ''}", age.open, age.documents) for place, age in enumerate(ages)]
    return receivables(bars, currency=currency)
