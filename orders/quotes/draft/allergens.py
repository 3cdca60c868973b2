"""Compare the allergens on the table with those the guests cannot eat."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

#: A guest who names the first must not get the others either: gluten is in wheat too, and the United States counts
#: pine nuts among tree nuts (FDA guidance of January 2025).
_ALSO = {"gluten": ("wheat",), "tree-nuts": ("pine-nuts",)}


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
    avoided = {code for one in allergies for code in (one, *_ALSO.get(one, ()))}
    found = ((names.get(product, product), sorted(avoided & set(codes))) for product, codes in contained.items())
    return tuple(Clash(product, tuple(codes)) for product, codes in found if codes)
