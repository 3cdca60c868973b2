"""The optional keys of a Book: those that prices do not read, used by timing, cooling and the kitchen's screens.

A Book may have all of them or none. The contract's rules do not cover them; a Book that a kitchen imports is also
checked by `costing.contract.whole_checks`.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Final

from costing.contract.book import Book, Ingredient, Kitchen, Overhead, Part, PriceRule, Product, Recipe, Role, Station

OPTIONAL: Final[Mapping[type, frozenset[str]]] = {
    Book: frozenset(
        {"tax_categories", "hours", "hand_over_hours", "days", "closed", "monthly_costs"}
        | {"moulds", "suppliers", "vessels", "vehicles"}
    ),
    Kitchen: frozenset({"profile"}),
    Overhead: frozenset({"monthly_labour_hours", "monthly_orders", "derived"}),
    Role: frozenset({"name"}),
    Station: frozenset({"name", "monthly_hours", "places", "air_c", "air", "derived", "count", "tolerance_c", "out"}),
    Part: frozenset({"ndb"}),
    Ingredient: frozenset(
        {"source", "ndb", "composition", "note", "active", "allergen_answers", "allergen_names", "touches_food"}
        | {"label_list", "free_by"}
    ),
    Recipe: frozenset(
        {
            "steps",
            "note",
            "air",
            "loss_of",
            "active",
            "shelf_stable",
            "shelf_stable_source",
            "never_hot",
            "never_hot_reason",
            "kg_per_place",
        }
    ),
    Product: frozenset(
        {
            "steps",
            "description",
            "mould",
            "fill_height_cm",
            "keeps_hours",
            "holding",
            "stands_on",
            "covered",
            "carried",
            "cooling_rule",
            "active",
            "load_places",
            "mold_free_after",
            "mold_leaves",
            "mold_back_days",
            "usual_pieces",
        }
    ),
    PriceRule: frozenset({"name"}),
}
"""Record of a Book -> its optional keys, as a document has them."""
