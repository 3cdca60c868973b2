"""What one load of each format takes in the invented kitchen, when its mold is free again, and how long it keeps.

Half sheet pans, by the size of the molds on a pan of 18 by 13 in: six 6 in rings, two 8 in rings, one 10 in ring, 24
tartlet pans or cups.
"""

from collections.abc import Iterable
from typing import Any, Final


def _load(kinds: Iterable[str], count: int, free_after: int | None, back_days: int | None) -> dict[str, Any]:
    load: dict[str, Any] = {"load_places": dict.fromkeys(kinds, count)}
    if free_after is not None:
        load["mold_free_after"] = free_after
    if back_days is not None:
        load |= {"mold_leaves": True, "mold_back_days": back_days}
    return load


def trays(count: int, *, free_after: int | None = None, back_days: int | None = None) -> dict[str, Any]:
    """Return the pans of a load that is baked: in the oven, on the rack and in the cold.

    ``free_after`` is the number of the step, from 1, that sets the mold free; ``back_days`` is in how many days after
    the event a mold that leaves with the customer is back or replaced.
    """
    return _load(("oven", "refrigerator", "rack"), count, free_after, back_days)


def shelves(count: int, *, free_after: int | None = None, back_days: int | None = None) -> dict[str, Any]:
    """Return the pans of a load that is never in the oven, as `trays` does."""
    return _load(("refrigerator",), count, free_after, back_days)


#: Code of a product -> what the Book says of its load.
LOADS: Final = {
    "almond-raspberry-6": trays(1, free_after=3),
    "almond-raspberry-8": trays(3, free_after=3),
    "almond-raspberry-10": trays(4, free_after=3),
    "almond-squares": trays(1, free_after=6),
    "chocolate-hazelnut-8": trays(3, free_after=6),
    "chocolate-hazelnut-10": trays(4, free_after=6),
    "mousse-glass": shelves(3, back_days=3),
    "custard-tart-9": trays(4, free_after=5),
    "custard-tartlet": trays(2, free_after=5),
    "orange-cup": trays(3, back_days=2),
    "lemon-tartlet": shelves(2, free_after=1),
    "buttermilk-glass": shelves(3, back_days=3),
    "coconut-cup": shelves(3, back_days=2),
    "pear-buckwheat-tart": trays(4, free_after=3),
    "meringue-bag": trays(3),
}

#: Code of a product that is cold -> how long it keeps so once it is ready [h]: common practice, without a source, and
#: shorter than the seven days of the US Food Code (2022, 3-501.17).
KEEPS_HOURS: Final = {
    "almond-raspberry-6": "48",
    "almond-raspberry-8": "48",
    "almond-raspberry-10": "48",
    "almond-squares": "48",
    "chocolate-hazelnut-8": "48",
    "chocolate-hazelnut-10": "48",
    "mousse-glass": "48",
    "custard-tart-9": "48",
    "custard-tartlet": "36",
    "orange-cup": "48",
    "lemon-tartlet": "24",
    "buttermilk-glass": "48",
    "coconut-cup": "72",
    "pear-buckwheat-tart": "36",
}
