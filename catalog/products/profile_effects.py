"""What another cup and prices with or without tax in them would change of recipes and list prices."""

from datetime import date
from fractions import Fraction

from catalog.kitchen.effects import ProfileEffects
from catalog.kitchen.models import Kitchen
from catalog.products.models import Product
from catalog.recipes.models import RecipeLine
from catalog.taxes.selectors import tax_rows
from costing.measures.measure import MeasureError, parse_measure
from costing.measures.units import CUP_UNITS, FACTORS, CupKind


def profile_effects(*, home: Kitchen, cup: str, prices: str, today: date) -> ProfileEffects:
    """Return what the catalog would have changed once the profile is saved with this cup and these prices.

    ``home`` is the profile as it is stored. At most four queries.
    """
    recipes, amounts = _by_the_cup(home.cup, cup) if cup != home.cup else (0, Fraction(0))
    count, tax = _by_the_tax(gross=prices == Kitchen.Prices.GROSS, today=today) if prices != home.prices else (0, 0)
    return ProfileEffects(recipes, amounts, count, Fraction(tax))


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
