"""Price rules as the owner reads them."""

from dataclasses import dataclass
from fractions import Fraction

from catalog.price_rules.models import PriceRule
from catalog.products.models import Product
from costing.contract.price_rules import is_limited, precedence


@dataclass(frozen=True, slots=True)
class RuleRow:
    """A price rule with its markup; ``idle`` when its category has no product."""

    rule: PriceRule
    markup: Fraction
    idle: bool


def product_categories() -> list[str]:
    """Return the categories that products are in; one query."""
    return sorted(set(Product.objects.filter(active=True).values_list("category", flat=True)))


def rule_rows() -> list[RuleRow]:
    """Return the price rules in order of precedence: the first that matches a line sets its price; two queries."""
    categories = set(Product.objects.filter(active=True).values_list("category", flat=True))
    # The sort is stable, so equal rules stay in their listed order.
    rules = sorted(PriceRule.objects.select_related("product"), key=precedence)
    return [
        RuleRow(
            rule,
            Fraction(rule.margin) / (1 - Fraction(rule.margin)),
            bool(rule.category) and rule.category not in categories,
        )
        for rule in rules
    ]


def covers_everything(rows: list[RuleRow]) -> bool:
    """Return whether some rule applies to every line; without one a product may have no price."""
    return any(not is_limited(row.rule) for row in rows)
