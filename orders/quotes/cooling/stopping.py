"""What is missing to judge the products of a table, and what of that stops them like a broken rule."""

from collections.abc import Collection, Mapping
from typing import Final

from catalog.cooling.amounts import Units
from catalog.cooling.batch_reports import BatchCold
from catalog.cooling.cold_keeping import asks_for_cold, is_chilled, keeping_stated
from catalog.cooling.missing import HELD, Missing
from catalog.cooling.selectors import cold_times, products_hot, products_unsaid
from catalog.cooling.time_used import USED_UP
from catalog.recipes.perishables import parts_of, perishables
from costing.contract import Book

#: Reason: ticked as safe at room temperature, with what asks for the cold in it and no source.
NO_SOURCE: Final = "no_source"
TOO_SHORT: Final = ("cold_too_short", "short_before_restated")
#: Reasons that leave a hot batch without a way to get cold: it does not fit what it stands in, or no step cools it.
NO_WAY: Final = frozenset(
    {"does_not_fit", "no_cold_stage", "bath_ends_warm", "bath_ends_early", "off_heat_cold", HELD, *TOO_SHORT}
)
#: Reasons about one step of which nothing is judged: only a reading after that very step answers for it.
_OWN_STEP: Final = frozenset({"not_said", "leaves_not_said", "heat_in_step", "never_hot_contradicted", *USED_UP})
#: Reasons that stop a product although nothing in it may be hot at the time.
_STOPS: Final = frozenset(
    {
        NO_SOURCE,
        "heat_in_step",
        "hot_before",
        "chill_not_reached",
        HELD,
        "colder_than_parts",
        "over_the_rim",
        *TOO_SHORT,
        *USED_UP,
    }
)


def step_at_fault(missing: Missing | None) -> str:
    """Return the step after which something is read, where a reading of another cooling says nothing of it."""
    if missing is None or missing.reason.code not in _OWN_STEP:
        return ""
    params = missing.reason.params
    return str(params["steps"][-1]) if missing.reason.code in USED_UP else str(params["step"])


def fault_mark(missing: Missing | None) -> list[str]:
    """Return what of a step at fault makes another mark; nothing where none is."""
    return [missing.reason.code] if missing is not None and step_at_fault(missing) else []


def missing_of(wanted: Collection[str] | Units, book: Book) -> dict[str, Missing]:
    """Return what is missing to judge products, by code; at the size of a table where its units are given."""
    cold = cold_times(wanted, book)
    found = {code: one.missing for code, one in cold.items() if one.missing is not None}
    # What stops it anyway is answered first.
    stops = {code for code, missing in found.items() if missing.reason.code in _STOPS}
    unsaid = products_unsaid(wanted, book).items()
    return found | {code: one for code, one in unsaid if one.reason.code not in USED_UP or code not in stops}


def stopping(missing: Mapping[str, Missing], book: Book) -> frozenset[str]:
    """Return the products that what is missing stops: hot, and nobody stated how they cool; or a source is missing.

    So does cooked food of which the steps do not show when it left the heat, and what asks for the cold of which
    neither a step nor a text says that it is kept there.
    """
    stops = frozenset(code for code, one in missing.items() if one.reason.code in _STOPS)
    return products_hot(missing, book) | stops | frozenset(code for code in missing if _holding_unstated(code, book))


def _holding_unstated(code: str, book: Book) -> bool:
    product = book.product(code)
    return asks_for_cold(product, book) and not (keeping_stated(product, book) or is_chilled(product, book))


def batch_stops(one: BatchCold, book: Book) -> bool:
    """Return whether a batch stops a quote by what is missing: it cannot cool, is hot, or holds what asks for the cold.

    A tick that nothing says how it is kept is no answer to how it gets cold.
    """
    if one.missing is None:
        return False
    return one.heated or one.missing.reason.code in NO_WAY or bool(perishables(parts_of([one.recipe.code], book)))
