"""Price rules: save and delete."""

from decimal import Decimal
from typing import Any

from django.db import transaction

from catalog.book.revision import catalog_changed
from catalog.price_rules.models import PriceRule
from catalog.records.rows import existing, new_row, remove


@transaction.atomic(durable=True)
def rule_save(*, rule_id: int | None, data: dict[str, Any]) -> PriceRule:
    """Create or change a price rule; ``data`` are checked values by column.

    Raises
    ------
    ChangedMeanwhile
        Somebody deleted it since the page was opened.
    """
    if rule_id is None:
        words = data["name"] or data["category"] or str(data["product"] or data["customer_kind"] or "house")
        rule = new_row(PriceRule, words, otherwise="rule")
    else:
        rule = existing(PriceRule, rule_id)
    for key in ("name", "product", "category", "customer_kind", "margin"):
        setattr(rule, key, data[key])
    rule.from_units, rule.minimum = data["from_units"] or 0, data["minimum"] or Decimal(0)
    rule.save()
    catalog_changed()
    return rule


@transaction.atomic(durable=True)
def rule_delete(*, rule_id: int) -> None:
    """Delete a price rule; sent quotes keep the price it gave them."""
    remove(existing(PriceRule, rule_id))
    catalog_changed()
