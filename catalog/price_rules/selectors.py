"""Price rules as the owner reads them."""

from dataclasses import dataclass
from fractions import Fraction

from catalog.price_rules.models import PriceRule
from catalog.products.models import Product


@dataclass(frozen=True, slots=True)
class RuleRow:
    """A price rule with its markup; idle when its category has no product."""

    rule: PriceRule
    markup: Fraction
    idle: bool


def product_categories() -> list[str]:
    """Return the categories that products are in; one query."""
    return sorted(set(Product.objects.filter(active=True).values_list("category", flat=True)))


def rule_rows() -> list[RuleRow]:
    """Return the price rules, the one that wins first: the first that fits a line sets its price; two queries."""
    categories = set(Product.objects.filter(active=True).values_list("category", flat=True))
    rules = sorted(PriceRule.objects.select_related("product"), key=_precedence)
    return [
        RuleRow(
            rule,
            Fraction(rule.margin) / (1 - Fraction(rule.margin)),
            bool(rule.category) and rule.category not in categories,
        )
        for rule in rules
    ]


def _precedence(rule: PriceRule) -> tuple[bool, int, int, int, int]:
    """Customer kind before none; product before category before neither; more units first; then as listed."""
    breadth = 0 if rule.product_id else 1 if rule.category else 2
    return (not rule.customer_kind, breadth, -rule.from_units, rule.position, rule.pk)


def covers_everything(rows: list[RuleRow]) -> bool:
    """Tell whether some rule fits any line: without one a product may have no price."""
    return any(
        not (row.rule.product_id or row.rule.category or row.rule.customer_kind or row.rule.from_units) for row in rows
    )
