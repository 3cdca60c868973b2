"""What is on the table against what the guests cannot eat."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from catalog.pantry.presenters import allergen_words

#: Said beside every list of allergens.
CAUTION = "Allergens come from what you entered for each ingredient: check the suppliers' labels."

#: A guest who names the first must not get the others either: gluten is in wheat too, and the United States counts
#: pine nuts among tree nuts (FDA guidance of January 2025).
_ALSO = {"gluten": ("wheat",), "tree-nuts": ("pine-nuts",)}


@dataclass(frozen=True, slots=True)
class Clash:
    """A product that holds what a guest cannot eat."""

    product: str
    allergens: tuple[str, ...]

    def __str__(self) -> str:
        return f"{self.product} holds {allergen_words(self.allergens)}, which a guest cannot eat."


def clashes(held: Mapping[str, Iterable[str]], names: Mapping[str, str], told: Iterable[str]) -> tuple[Clash, ...]:
    """Return the products that hold an allergen the guests told of.

    ``held`` is product code -> allergen codes, ``names`` product code -> name.
    """
    avoided = {code for one in told for code in (one, *_ALSO.get(one, ()))}
    found = ((names.get(product, product), sorted(avoided & set(codes))) for product, codes in held.items())
    return tuple(Clash(product, tuple(codes)) for product, codes in found if codes)


def safe_for_all(held: Mapping[str, Iterable[str]], told: Iterable[str]) -> bool:
    """Tell whether at least one product holds nothing the guests told of."""
    told = tuple(told)
    return any(not clashes({product: codes}, {}, told) for product, codes in held.items())
