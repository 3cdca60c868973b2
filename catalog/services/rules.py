"""Price rules and tax categories."""

from datetime import date
from decimal import Decimal
from typing import Any

from django.db import transaction

from catalog.errors import ChangedMeanwhile, RateInForce
from catalog.models import PriceRule, TaxCategory, TaxRate
from catalog.selectors.uses import users_of
from catalog.services.recipes import free_code
from catalog.services.revision import catalogue_changed
from catalog.services.rows import existing, next_position, remove


@transaction.atomic(durable=True)
def rule_save(*, rule_id: int | None, facts: dict[str, Any]) -> PriceRule:
    """Create or change a price rule; ``facts`` are checked values by column.

    Raises
    ------
    ChangedMeanwhile
        Somebody deleted it since the page was opened.
    """
    if rule_id is None:
        words = facts["name"] or facts["category"] or str(facts["product"] or facts["customer_kind"] or "house")
        code = free_code(words, PriceRule.objects.values_list("code", flat=True), otherwise="rule")
        rule = PriceRule(code=code, position=next_position(PriceRule))
    else:
        rule = existing(PriceRule, rule_id)
    for key in ("name", "product", "category", "customer_kind", "margin"):
        setattr(rule, key, facts[key])
    rule.from_units, rule.minimum = facts["from_units"] or 0, facts["minimum"] or Decimal(0)
    rule.save()
    catalogue_changed()
    return rule


@transaction.atomic(durable=True)
def rule_delete(*, rule_id: int) -> None:
    """Delete a price rule; sent quotes keep the price it gave them."""
    remove(existing(PriceRule, rule_id))
    catalogue_changed()


@transaction.atomic(durable=True)
def tax_save(*, tax_id: int | None, name: str, untdid: str, exempt_reason: str) -> TaxCategory:
    """Create or change a tax category; its code is made from the first name and stays.

    Raises
    ------
    ChangedMeanwhile
        Somebody deleted it since the page was opened.
    """
    if tax_id is None:
        # “goods” is how a Book says that delivery is taxed as what it carries.
        taken = {"goods", *TaxCategory.objects.values_list("code", flat=True)}
        tax = TaxCategory(code=free_code(name, taken, otherwise="tax"), position=next_position(TaxCategory))
    else:
        tax = existing(TaxCategory, tax_id)
    tax.name, tax.untdid, tax.exempt_reason = name, untdid, exempt_reason
    tax.save()
    catalogue_changed()
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
    catalogue_changed()


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
    catalogue_changed()


@transaction.atomic(durable=True)
def rate_remove(*, rate_id: int, today: date) -> None:
    """Take out a rate that has not been used.

    Raises
    ------
    RateInForce
        It has begun, and something is taxed with it.
    ChangedMeanwhile
        Somebody took it out already.
    """
    row = existing(TaxRate, rate_id)
    if row.starts <= today and users_of(row.category):
        raise RateInForce(what=str(row.category))
    row.delete()
    catalogue_changed()
