"""Compare the allergens on the table with those the guests cannot eat."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from catalog.pantry.allergens import covered


@dataclass(frozen=True, slots=True)
class Clash:
    """A product that contains an allergen a guest cannot eat."""

    product: str
    allergens: tuple[str, ...]


def clashes(
    contained: Mapping[str, Iterable[str]], names: Mapping[str, str], allergies: Iterable[str]
) -> tuple[Clash, ...]:
    """Return the products that contain an allergen the guests cannot eat.

    ``contained`` is product code -> allergen codes, ``names`` product code -> name, ``allergies`` the guests' codes.
    """
    avoided = frozenset[str]().union(*(covered(need) for need in allergies))
    found = ((names.get(product, product), sorted(avoided & set(codes))) for product, codes in contained.items())
    return tuple(Clash(product, tuple(codes)) for product, codes in found if codes)
