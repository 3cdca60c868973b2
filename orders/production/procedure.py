"""What the kitchen's written procedure is made of: the foods it cools, their steps, rule, verdict and time out."""

from dataclasses import dataclass

from catalog.book.selectors import book_current
from catalog.cooling.cycles import rule_of
from catalog.cooling.missing import Missing
from catalog.cooling.selectors import ProductCold, cold_times, cooled
from catalog.cooling.stages import CoolingCycle
from catalog.kitchen.models import Kitchen
from catalog.kitchen.selectors import kitchen
from costing.chilling import Profile as Rule


@dataclass(frozen=True, slots=True)
class ProcedureFood:
    """A food that is cooled and then may be out of the cold: its cooling cycles, their verdicts and its time out."""

    name: str
    cycles: tuple[CoolingCycle, ...]
    cold: ProductCold


@dataclass(frozen=True, slots=True)
class Procedure:
    """The foods of a kitchen's procedure, the foods whose cooling could not be worked out, and the rule in force.

    ``others`` are the products that ask for no cooling: the procedure does not cover them.
    """

    kitchen: Kitchen
    rule: Rule
    foods: tuple[ProcedureFood, ...]
    missing: tuple[tuple[str, Missing], ...]
    others: tuple[str, ...]


def procedure() -> Procedure:
    """Return what the procedure is made of, from the products that are sold.

    Raises
    ------
    CannotPrice
        When the catalog as a whole has an error.
    """
    book = book_current()
    sold = [product.code for product in book.products if product.active]
    found, cold = cooled(sold, book), cold_times(sold, book)
    names = {code: one.product.name for code, one in found.items()}
    return Procedure(
        kitchen=kitchen(),
        rule=rule_of(book.kitchen.described),
        foods=tuple(ProcedureFood(names[code], one.cycles, cold[code]) for code, one in found.items() if one.cycles),
        missing=tuple((names[code], one.missing) for code, one in found.items() if one.missing is not None),
        others=tuple(names[code] for code, one in found.items() if not one.asked),
    )
