"""The Estimate as its JSON document."""

from __future__ import annotations

from fractions import Fraction
from typing import Any

from costing.contract.estimate import (
    DeliveryEstimate,
    Estimate,
    IngredientEstimate,
    LineEstimate,
    RecipeEstimate,
    Totals,
)
from costing.contract.explanations import Explanation
from costing.measures.numbers import exact_text, figure_text

FORMAT = "coldset-estimate/1"


def write_estimate(estimate: Estimate, *, explain: bool = False) -> dict[str, Any]:
    """Write an Estimate as its JSON document.

    Parameters
    ----------
    estimate : Estimate
        Any Estimate.
    explain : bool, optional
        Whether to add `explain` (the Estimate has to carry explanations, see `costing.estimating.explain`).

    Returns
    -------
    dict
        Charged money is exact; other figures have at most twelve decimals.
    """
    written: dict[str, Any] = {
        "format": FORMAT,
        "currency": estimate.currency,
        "lines": [_line(line) for line in estimate.lines],
        "recipes": [_recipe(recipe) for recipe in estimate.recipes],
        "ingredients": [_ingredient(ingredient) for ingredient in estimate.ingredients],
        "delivery": None if estimate.delivery is None else _delivery(estimate.delivery),
        "totals": _totals(estimate.totals),
        "allergens": {product: list(codes) for product, codes in estimate.allergens.items()},
        "warnings": [{"code": w.code, "at": w.at, "message": w.message} for w in estimate.warnings],
    }
    if explain and estimate.explanations is not None:
        written["explain"] = {place: _explanation(how) for place, how in estimate.explanations.items()}
    return written


def _recipe(recipe: RecipeEstimate) -> dict[str, Any]:
    return {
        "recipe": recipe.recipe,
        "grams": figure_text(recipe.grams),
        "batches": recipe.batches,
        "labour_minutes": figure_text(recipe.labor_minutes),
    }


def _delivery(delivery: DeliveryEstimate) -> dict[str, Any]:
    return {
        "labour_minutes": figure_text(delivery.labor_minutes),
        "cost": figure_text(delivery.cost),
        "price": charged_text(delivery.price),
    }


def _explanation(how: Explanation) -> dict[str, Any]:
    return {
        "formula": how.formula,
        "inputs": [{"name": one.name, "value": one.value, "unit": one.unit} for one in how.inputs],
    }


def _line(line: LineEstimate) -> dict[str, Any]:
    return {
        "product": line.product,
        "units": line.units,
        "made": line.made,
        "servings": line.servings,
        "ingredients": figure_text(line.ingredients),
        "packaging": figure_text(line.packaging),
        "labour": figure_text(line.labor),
        "overhead": figure_text(line.overhead),
        "cost": figure_text(line.cost),
        "unit_cost": figure_text(line.unit_cost),
        "labour_minutes": figure_text(line.labor_minutes),
        "loads": line.loads,
        "rule": line.rule,
        "target_price": charged_text(line.target_price),
        "basis": line.basis,
        "unit_price": charged_text(line.unit_price),
        "amount": charged_text(line.amount),
        "net": figure_text(line.net),
        "margin": _share(line.margin),
    }


def _ingredient(ingredient: IngredientEstimate) -> dict[str, Any]:
    written: dict[str, Any] = {
        "ingredient": ingredient.ingredient,
        "base": ingredient.base,
        "ready": figure_text(ingredient.ready),
        "as_purchased": figure_text(ingredient.as_purchased),
    }
    if ingredient.packs is not None and ingredient.leftover is not None and ingredient.leftover_value is not None:
        written["packs"] = [{"size": pack.size, "count": pack.count} for pack in ingredient.packs]
        written["leftover"] = figure_text(ingredient.leftover)
        written["leftover_value"] = figure_text(ingredient.leftover_value)
    written["cost"] = figure_text(ingredient.cost)
    return written


def _totals(totals: Totals) -> dict[str, Any]:
    return {
        "goods": charged_text(totals.goods),
        "surcharge": charged_text(totals.surcharge),
        "discount": charged_text(totals.discount),
        "top_up": charged_text(totals.top_up),
        "delivery": charged_text(totals.delivery),
        "extras": charged_text(totals.extras),
        "taxes": [
            {
                "code": tax.code,
                "rate": charged_text(tax.rate),
                "taxable": charged_text(tax.taxable),
                "tax": charged_text(tax.tax),
            }
            for tax in totals.taxes
        ],
        "revenue": charged_text(totals.revenue),
        "total": charged_text(totals.total),
        "cost": figure_text(totals.cost),
        "goods_margin": _share(totals.goods_margin),
        "order_margin": _share(totals.order_margin),
        "below_floor": totals.below_floor,
    }


def _share(value: Fraction | None) -> str | None:
    return None if value is None else figure_text(value)


def charged_text(value: Fraction) -> str:
    """Write an exact amount without trailing zeros, however its number was written in the Book.

    Parameters
    ----------
    value : Fraction
        Charged money [currency] or a rate [share], with a finite decimal form.
    """
    return exact_text(value)
