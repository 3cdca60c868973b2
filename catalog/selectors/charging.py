"""Pay, price rules and tax categories as the owner reads them."""

from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from fractions import Fraction

from catalog.customer_kinds import CUSTOMER_KINDS
from catalog.models import PriceRule, Product, Role, TaxCategory, TaxRate


@dataclass(frozen=True, slots=True)
class RoleRow:
    """A kind of work with what an hour of it costs."""

    role: Role
    cost: Decimal


@dataclass(frozen=True, slots=True)
class RuleRow:
    """A price rule in words."""

    rule: PriceRule
    words: str
    markup: Fraction
    idle: bool


@dataclass(frozen=True, slots=True)
class TaxRow:
    """A tax category with its rates: the one in force, those to come, those that were."""

    tax: TaxCategory
    in_force: TaxRate | None
    to_come: tuple[TaxRate, ...]
    past: tuple[TaxRate, ...]


def role_rows() -> list[RoleRow]:
    """Return the kinds of work with their cost an hour; one query."""
    return [RoleRow(role, role.hourly * (1 + role.on_cost)) for role in Role.objects.all()]


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


def tax_rows(*, today: date) -> list[TaxRow]:
    """Return the tax categories with their rates; two queries."""
    return [tax_row(tax, today=today) for tax in TaxCategory.objects.prefetch_related("rates")]


def tax_row(tax: TaxCategory, *, today: date) -> TaxRow:
    """Sort a category's rates by date: what is in force, to come, and was."""
    rates = sorted(tax.rates.all(), key=lambda rate: rate.starts)
    begun = [rate for rate in rates if rate.starts <= today]
    return TaxRow(
        tax=tax,
        in_force=begun[-1] if begun else None,
        to_come=tuple(rate for rate in rates if rate.starts > today),
        past=tuple(reversed(begun[:-1])),
    )
