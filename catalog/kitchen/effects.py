"""What a profile that is about to be saved would do to recipes and prices: facts, for the sentence that says so."""

from dataclasses import dataclass
from fractions import Fraction


@dataclass(frozen=True, slots=True)
class ProfileEffects:
    """How many recipes another cup changes, how many list prices another way of writing prices does, and what another
    list of allergens asks anew.

    Attributes
    ----------
    recipes : int
        Recipes in use with an amount in cups or spoons; 0 where the cup stays.
    amounts : Fraction
        By how much such an amount changes at most, as a share of what it is now.
    prices : int
        Products in use with a list price, where tax was not in it and then is, or the other way round; else 0.
    tax : Fraction
        By how much at most what the kitchen earns by such a price changes, as a share of it.
    unchecked : int
        Ingredients in use that the other list of allergens asks something of that nobody answered, and the present
        one does not; 0 where the list stays.
    asked : tuple of str
        What it asks of them, by the plain names of allergens.
    """

    recipes: int = 0
    amounts: Fraction = Fraction(0)
    prices: int = 0
    tax: Fraction = Fraction(0)
    unchecked: int = 0
    asked: tuple[str, ...] = ()
