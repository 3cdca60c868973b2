"""What another cup, prices with or without tax in them and another list of allergens would change of the catalog."""

from datetime import date
from fractions import Fraction

from django.db.models import Exists, OuterRef

from catalog.kitchen.effects import ProfileEffects
from catalog.kitchen.models import Kitchen
from catalog.pantry.allergens import allergen_name, asked_of
from catalog.pantry.declarations import declared
from catalog.pantry.models import Ingredient
from catalog.products.models import Product
from catalog.recipes.models import RecipeLine
from catalog.taxes.selectors import tax_rows
from costing.measures.measure import MeasureError, parse_measure
from costing.measures.units import CUP_UNITS, FACTORS, CupKind


def profile_effects(*, home: Kitchen, cup: str, prices: str, allergen_list: str, today: date) -> ProfileEffects:
    """Return what the catalog would have changed once the profile is saved with these values.

    ``home`` is the profile as it is stored. At most five queries.
    """
    recipes, amounts = _by_the_cup(home.cup, cup) if cup != home.cup else (0, Fraction(0))
    count, tax = _by_the_tax(gross=prices == Kitchen.Prices.GROSS, today=today) if prices != home.prices else (0, 0)
    unchecked, asked = _by_the_list(home.allergen_list, allergen_list)
    return ProfileEffects(recipes, amounts, count, Fraction(tax), unchecked, asked)


def _by_the_list(before: str, after: str) -> tuple[int, tuple[str, ...]]:
    """Return how many ingredients another list of allergens asks something of that nobody answered, and what."""
    if before == after:
        return 0, ()
    in_recipe = Exists(RecipeLine.objects.filter(ingredient=OuterRef("pk")))
    found = [
        unchecked - declared(allergens, answers, before, touches=touches or used).unchecked
        for allergens, answers, touches, used in Ingredient.objects.filter(active=True)
        .annotate(in_recipe=in_recipe)
        .values_list("allergens", "allergen_answers", "touches_food", "in_recipe")
        if (unchecked := declared(allergens, answers, after, touches=touches or used).unchecked)
    ]
    asked = frozenset[str]().union(*found)
    return sum(map(bool, found)), tuple(allergen_name(code) for code in asked_of(after) if code in asked)


def _by_the_cup(before: str, after: str) -> tuple[int, Fraction]:
    kinds: dict[str, CupKind] = {"us": "us", "metric": "metric"}
    if before not in kinds or after not in kinds:
        return 0, Fraction(0)
    recipes, units = set(), set()
    for recipe, amount in RecipeLine.objects.filter(recipe__active=True).values_list("recipe", "amount"):
        try:
            unit = parse_measure(amount).unit
        except MeasureError:
            continue
        if unit in CUP_UNITS:
            recipes.add(recipe)
            units.add(unit)
    shares = (abs(FACTORS[unit, kinds[after]] / FACTORS[unit, kinds[before]] - 1) for unit in units)
    return len(recipes), max(shares, default=Fraction(0))


def _by_the_tax(*, gross: bool, today: date) -> tuple[int, Fraction]:
    listed = list(Product.objects.filter(active=True, list_price__isnull=False).values_list("tax", flat=True))
    in_force = {row.tax.pk: row.in_force for row in tax_rows(today=today)} if listed else {}
    rates = [Fraction(rate.rate) for tax in listed if (rate := in_force.get(tax)) is not None]
    highest = max(rates, default=Fraction(0))
    return len(listed), 1 - 1 / (1 + highest) if gross else highest
