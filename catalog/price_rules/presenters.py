"""Price rules in words: what each applies to, and its margin."""

from collections.abc import Iterable
from dataclasses import dataclass
from fractions import Fraction

from catalog.price_rules.customer_kinds import CUSTOMER_KINDS
from catalog.price_rules.models import PriceRule
from catalog.price_rules.selectors import RuleRow
from catalog.web import display
from costing.contract import PriceRule as Rule


@dataclass(frozen=True, slots=True)
class RuleShown:
    """A price rule in its list."""

    rule: PriceRule
    words: str
    markup: Fraction
    idle: bool


def rules_shown(rows: Iterable[RuleRow]) -> list[RuleShown]:
    """Write what each rule applies to."""
    return [RuleShown(row.rule, rule_words(row.rule), row.markup, row.idle) for row in rows]


def rule_words(rule: PriceRule) -> str:
    """Write what a rule applies to: “portion, from 60 units, for event planners”."""
    return fits_words(rule, str(rule.product or ""))


def fits_words(rule: PriceRule | Rule, product: str) -> str:
    """Write what a rule applies to, with its product's name; a rule of a sent Book may have no row any more."""
    what = product or (f"category {rule.category}" if rule.category else "everything")
    units = f", from {rule.from_units} units" if rule.from_units else ""
    kind = dict(CUSTOMER_KINDS).get(rule.customer_kind or "", rule.customer_kind or "")
    return what + units + (f", for {kind}" if kind else "")


def rule_sentence(rule: Rule, name: str, product: str) -> str:
    """Write the rule that wins for a product as a sentence: its margin, and what it applies to."""
    scope = [f"for {product}"] if rule.product else []
    scope += [f"in {rule.category}"] if rule.category else []
    scope += [f"for {rule.customer_kind} customers"] if rule.customer_kind else []
    scope += [f"from {rule.from_units} units"] if rule.from_units else []
    least = f", not below {display.amount(rule.minimum)}" if rule.minimum else ""
    return (
        f"{name}: keep {display.rate(rule.margin, 12)} of the net price{least}{', ' if scope else ''}{' '.join(scope)}."
    )
