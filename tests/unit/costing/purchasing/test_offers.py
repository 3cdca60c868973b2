"""Which packs of an ingredient count on a costing date."""

from datetime import date
from fractions import Fraction

from costing.contract.book import Ingredient, Pack
from costing.measures.measure import Measure
from costing.purchasing.offers import Offers, standing

DAY = date(2027, 1, 4)


def bag(pounds: int, price: int, text: str = "bag") -> Pack:
    return Pack(Measure(Fraction(pounds), "lb", text), Fraction(price), DAY)


def flour(*packs: Pack) -> Ingredient:
    return Ingredient("flour", "Flour", packs=packs)


def test_two_sizes_written_the_same_are_two_packs() -> None:
    small, large = bag(1, 2), bag(5, 4)
    assert standing(flour(small, large), DAY) == (small, large)
    offer = Offers((flour(small, large),), "us", DAY)[0]
    assert offer is not None
    # 4 for 5 lb is less than 2 for 1 lb.
    assert offer.price == Fraction(4) / offer.sizes[1]


def test_of_one_size_written_the_same_the_cheapest_counts_and_of_equals_the_first() -> None:
    dear, cheap, equal = bag(5, 6), bag(5, 4), bag(5, 4)
    found = standing(flour(dear, cheap, equal), DAY)
    assert len(found) == 1
    assert found[0] is cheap
    assert standing(flour(bag(5, 6, "5 lb"), bag(5, 4)), DAY)[0].price == 6
