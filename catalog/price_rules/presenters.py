"""Price rules in words: what each fits, and what it asks for."""

from collections.abc import Iterable
from dataclasses import dataclass
from fractions import Fraction

from catalog.price_rules.customer_kinds import CUSTOMER_KINDS
from catalog.price_rules.models import PriceRule
from catalog.price_rules.selectors import RuleRow


@dataclass(frozen=True, slots=True)
class RuleShown:
    """A price rule in its list."""

    rule: PriceRule
    words: str
    markup: Fraction
    idle: bool


def rules_shown(rows: Iterable[RuleRow]) -> list[RuleShown]:
    """Say what each rule fits."""
    return [RuleShown(row.rule, rule_words(row.rule), row.markup, row.idle) for row in rows]


def rule_words(rule: PriceRule) -> str:
    """Say what a rule fits: “portion, from 60 units, for event planners”."""
    return fits_words(str(rule.product or ""), rule.category, rule.from_units, rule.customer_kind)


def fits_words(product: str, category: str | None, from_units: int, customer_kind: str | None) -> str:
    """Say what a rule fits from its parts; a rule of a Book that was sent has no row any more."""
    what = product or (f"category {category}" if category else "everything")
    units = f", from {from_units} units" if from_units else ""
    kind = dict(CUSTOMER_KINDS).get(customer_kind or "", customer_kind or "")
    return what + units + (f", for {kind}" if kind else "")
