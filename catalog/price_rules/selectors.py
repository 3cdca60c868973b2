"""Price rules as the owner reads them."""

from dataclasses import dataclass
from fractions import Fraction

from catalog.price_rules.customer_kinds import CUSTOMER_KINDS
from catalog.price_rules.models import PriceRule
from catalog.products.models import Product


@dataclass(frozen=True, slots=True)
class RuleRow:
    """A price rule in words."""

    rule: PriceRule
    words: str
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
            rule_words(rule),
            Fraction(rule.margin) / (1 - Fraction(rule.margin)),
            bool(rule.category) and rule.category not in categories,
        )
        for rule in rules
    ]


def _precedence(rule: PriceRule) -> tuple[bool, int, int, int, int]:
    """Customer kind before none; product before category before neither; more units first; then as listed."""
    breadth = 0 if rule.product_id else 1 if rule.category else 2
    return (not rule.customer_kind, breadth, -rule.from_units, rule.position, rule.pk)


def rule_words(rule: PriceRule) -> str:
    """Say what a rule fits: “portion, from 60 units, for event planners”."""
    return fits_words(str(rule.product or ""), rule.category, rule.from_units, rule.customer_kind)


def fits_words(product: str, category: str | None, from_units: int, customer_kind: str | None) -> str:
    """Say what a rule fits from its parts; a rule of a frozen Book has no row any more."""
    what = product or (f"category {category}" if category else "everything")
    units = f", from {from_units} units" if from_units else ""
    kind = dict(CUSTOMER_KINDS).get(customer_kind or "", customer_kind or "")
    return what + units + (f", for {kind}" if kind else "")


def covers_everything(rows: list[RuleRow]) -> bool:
    """Tell whether some rule fits any line: without one a product may have no price."""
    return any(
        not (row.rule.product_id or row.rule.category or row.rule.customer_kind or row.rule.from_units) for row in rows
    )
