"""Price rules in words: what each applies to, and its margin."""

from collections.abc import Iterable
from dataclasses import dataclass
from fractions import Fraction

from django.utils.translation import gettext, ngettext

from catalog.price_rules.customer_kinds import customer_kinds
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
    kind = dict(customer_kinds()).get(rule.customer_kind or "", rule.customer_kind or "")
    values = {"what": _what(rule, product), "units": _units(rule.from_units), "kind": kind}
    if rule.from_units and kind:
        return gettext("%(what)s, from %(units)s, for %(kind)s") % values
    if rule.from_units:
        return gettext("%(what)s, from %(units)s") % values
    return gettext("%(what)s, for %(kind)s") % values if kind else values["what"]


def _what(rule: PriceRule | Rule, product: str) -> str:
    if product:
        return product
    return gettext("category %(name)s") % {"name": rule.category} if rule.category else gettext("everything")


def _units(count: int) -> str:
    return ngettext("%(count)s unit", "%(count)s units", count) % {"count": display.plain(Fraction(count))}


def rule_sentence(rule: Rule, name: str, product: str) -> str:
    """Write the rule that wins for a product as a sentence: its margin, and what it applies to."""
    values = {
        "name": name,
        "margin": display.rate(rule.margin, 12),
        "scope": fits_words(rule, product if rule.product else ""),
        "least": display.amount(rule.minimum),
    }
    if rule.minimum:
        return (
            gettext(
                "Rule “%(name)s”: target margin %(margin)s of the price before tax, minimum price %(least)s. "
                "Applies to: %(scope)s."
            )
            % values
        )
    return gettext("Rule “%(name)s”: target margin %(margin)s of the price before tax. Applies to: %(scope)s.") % values
