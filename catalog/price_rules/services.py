"""Price rules: save and delete."""

from typing import Any

from django.db import transaction

from catalog.book.revision import catalog_changed
from catalog.price_rules.models import PriceRule
from catalog.records.rows import existing, new_row, remove
from catalog.records.versions import existing_unchanged, stored, version_mark


def rule_version(rule: PriceRule) -> str:
    """Return the version of a price rule as stored."""
    return version_mark(stored(rule))


@transaction.atomic(durable=True)
def rule_save(*, rule_id: int | None, data: dict[str, Any], version: str = "") -> PriceRule:
    """Create or change a price rule; ``data`` are checked values by column.

    Raises
    ------
    Overtaken
        Its version is no longer ``version``.
    ChangedMeanwhile
        Somebody deleted it since the page was opened.
    """
    if rule_id is None:
        words = data["name"] or data["category"] or str(data["product"] or data["customer_kind"] or "house")
        rule = new_row(PriceRule, words, otherwise="rule")
    else:
        rule = existing_unchanged(PriceRule, rule_id, version, rule_version)
    empty = PriceRule()
    for column, value in data.items():
        setattr(rule, column, getattr(empty, column) if value is None else value)
    rule.save()
    catalog_changed()
    return rule


@transaction.atomic(durable=True)
def rule_delete(*, rule_id: int) -> None:
    """Delete a price rule; sent quotes keep their prices."""
    remove(existing(PriceRule, rule_id))
    catalog_changed()
