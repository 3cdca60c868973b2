"""Refusals of the catalog: codes with parameters. ``catalog.records.presenters`` has their sentences."""

from datetime import datetime
from typing import Any

from catalog.records.reasons import Reason


class Refusal(Exception):
    """A refusal by a service: a code, the place it is about (a form's field, or empty for the whole) and parameters."""

    code = "refused"

    def __init__(self, *, place: str = "", **params: Any) -> None:
        self.place, self.params = place, params
        # Used in logs; pages show a presenter's sentence.
        super().__init__(f"{self.code} {params}" if params else self.code)

    @property
    def reason(self) -> Reason:
        """The code with its parameters, for a presenter."""
        return Reason(self.code, self.params)


class CatalogError(Refusal):
    """Base of the catalog's refusals."""

    code = "catalog"


class ChangedMeanwhile(CatalogError):
    """Somebody else changed it since the page was opened."""

    code = "changed_meanwhile"


class Overtaken(ChangedMeanwhile):
    """Somebody saved it since the form was opened; the form shows both versions."""

    code = "overtaken"


class InUse(CatalogError):
    """Something else still needs it."""

    code = "in_use"


class CannotPrice(CatalogError):
    """The catalog as a whole cannot be priced."""

    code = "cannot_price"


class PackDatesOverlap(CatalogError):
    """A price of the same pack begins on or after the day."""

    code = "pack_dates"


class PriceListNotReady(CatalogError):
    """The list was read with errors, was imported already, or was dropped."""

    code = "price_list_not_ready"


class SpreadsheetNotReady(CatalogError):
    """The file is not at the step at which that can be done, or what it would do is not what was shown."""

    code = "spreadsheet_not_ready"


class CurrencyLocked(CatalogError):
    """Documents exist in the kitchen's currency."""

    code = "currency_locked"


class CannotUndo(CatalogError):
    """What was deleted cannot come back: it is back already, its place is taken, or what it needs is gone."""

    code = "cannot_undo"


class CatalogNotEmpty(CatalogError):
    """A whole kitchen cannot be brought in from a file where a catalog is there already."""

    code = "catalog_not_empty"


class TouchesFood(CatalogError):
    """What a recipe uses cannot be marked as never touching the food."""

    code = "touches_food"


class SourceMissing(CatalogError):
    """What asks for the cold is ticked as safe at room temperature, and nobody is named who says so."""

    code = "source_missing"


class SourceTooShort(CatalogError):
    """What is entered as the source of a tick as safe at room temperature does not show it; ``lacks`` says why."""

    code = "source_too_short"


class RuleForHot(CatalogError):
    """The rule for food made from ingredients at room temperature is chosen for what a step leaves hot."""

    code = "rule_for_hot"


class LeavesColder(CatalogError):
    """A product's step is stated to leave colder than what goes in hot can be."""

    code = "leaves_colder"


class WordsUnproven(CatalogError):
    """The kitchen's words about traces claim what its ingredients do not bear out."""

    code = "words_unproven"


class RateInForce(CatalogError):
    """A tax rate that has been in force cannot be removed."""

    code = "rate_in_force"


class TooManyTries(CatalogError):
    """It was tried too often; the next try is allowed at ``until``."""

    code = "too_many_tries"

    def __init__(self, *, until: datetime) -> None:
        super().__init__()
        self.until = until
