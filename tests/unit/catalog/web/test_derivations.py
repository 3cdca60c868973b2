"""How a figure came about, in plain words and the kitchen's measures; the figures stay the computation's."""

import ast
from fractions import Fraction
from pathlib import Path

import pytest
from django.conf import settings

from catalog.web.derivation_words import FORMULAS, INPUTS, UNTAXED
from catalog.web.derivations import derivation
from catalog.web.display import DisplaySettings, use
from costing.contract.explanations import explanation

POUNDS = DisplaySettings(currency="USD", measures="us", distance="mi")
#: Formulas of figures that no page opens.
NOT_SHOWN = {
    "units × servings each",
    "made ÷ load, rounded up; 1 without a load",
    "what the whole order needs, at least the smallest batch",
    "grams ÷ batch limit, rounded up; 1 without a limit",
    "batches × minutes per batch + kilograms × minutes per kilogram",
    "Σ over all recipes and packaging of what is ready to use",
    "bought − as purchased",
    "crew × (2 × minutes one way + setup)",
    "Σ charged under this code",
    "Σ charged − tax",
}


def _texts() -> set[str]:
    """Return every text the computation marks as a formula or the name of an input."""
    source = Path(settings.BASE_DIR, "costing/estimating/explain.py").read_text(encoding="utf-8")
    calls = (node for node in ast.walk(ast.parse(source)) if isinstance(node, ast.Call))
    marks = (call for call in calls if isinstance(call.func, ast.Name) and call.func.id == "_")
    return {call.args[0].value for call in marks if isinstance(call.args[0], ast.Constant)}


def test_every_formula_of_the_computation_has_plain_words() -> None:
    known = {*FORMULAS, *INPUTS, *NOT_SHOWN, "price per g", "rate per km"}
    formulas = {text for text in _texts() if any(sign in text for sign in "÷×Σ−+,")}
    assert formulas - known == set()
    assert {*FORMULAS, *UNTAXED} - _texts() == set(), "words for a formula that is no longer computed"


def test_a_derivation_writes_money_shares_and_measures_as_the_kitchen_does() -> None:
    how = explanation(
        "as purchased × the lowest price of the preferred packs, else of all",
        ("as purchased", Fraction(4_535_9237, 10_000), "g"),
        ("price per g", Fraction(1, 100), "USD"),
        ("yield", Fraction(7, 8), ""),
        ("share of Lemon curd", Fraction(35_7, 10), "min"),
        ("share of yolks", Fraction(1, 3), ""),
    )
    with use(POUNDS):
        found = derivation(how)
    assert found is not None
    assert found.sentence.startswith("Quantity to buy × the lowest price among the preferred packs")
    assert found.inputs == (
        ("Quantity to buy", "10 lb"),
        ("Price per lb", "$4.536"),
        ("Yield", "87.5%"),
        ("Share of the labor for Lemon curd", "35.7 min"),
        ("Share of yolks", "33.333%"),
    )


def test_a_price_before_tax_says_nothing_of_a_tax_in_it() -> None:
    net = explanation("amount ÷ tax factor", ("amount", Fraction(9), "USD"), ("tax factor", Fraction(1), ""))
    gross = explanation("amount ÷ tax factor", ("amount", Fraction(9), "USD"), ("tax factor", Fraction(108, 100), ""))
    with use(POUNDS):
        plain, taxed = derivation(net), derivation(gross)
    assert plain is not None
    assert taxed is not None
    assert (plain.sentence, plain.inputs) == ("The amount as it is: prices are before tax.", (("Amount", "$9.00"),))
    assert taxed.inputs[1] == ("Price with tax over price before tax", "1.08")


@pytest.mark.parametrize(("value", "words"), [("28.5884", "$28.588"), ("0.0456214", "$0.045621"), ("6", "$6.00")])
def test_money_in_a_derivation_is_finer_than_the_figure_it_explains(value: str, words: str) -> None:
    with use(POUNDS):
        found = derivation(explanation("cost ÷ units", ("cost", Fraction(value), "USD")))
    assert found is not None
    assert found.inputs == (("Cost", words),)


def test_codes_are_called_by_their_names() -> None:
    how = explanation("Σ of the lines' amounts", ("curd-tartlet", Fraction(9), "USD"), ("rule", "portions", ""))
    with use(POUNDS):
        found = derivation(how, {"curd-tartlet": "Curd tartlet", "portions": "Portions"})
    assert found is not None
    assert found.inputs == (("Curd tartlet", "$9.00"), ("Price rule", "Portions"))
