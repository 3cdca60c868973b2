"""What the catalog can refuse, in sentences fit to show."""

from typing import Any


class CatalogError(Exception):
    """Base of the catalog's refusals: a code, a sentence and its parameters."""

    code = "catalog"
    sentence = "The catalogue cannot do that."

    def __init__(self, **params: Any) -> None:
        self.params = params
        super().__init__(self.sentence.format(**params))


class ChangedMeanwhile(CatalogError):
    """Somebody else changed it since the page was opened."""

    code = "changed_meanwhile"
    sentence = "{what} was changed by somebody else meanwhile. Open it again and repeat your change."


class InUse(CatalogError):
    """Something else still needs it."""

    code = "in_use"
    sentence = "{what} is used by {users}. Take it out there first, or mark it as no longer used."


class CannotPrice(CatalogError):
    """The catalog as a whole cannot be priced."""

    code = "cannot_price"
    sentence = "The catalogue has an error that stops every price: {problem}"


class PackDatesOverlap(CatalogError):
    """A price of the same pack begins on or after the day."""

    code = "pack_dates"
    sentence = "{size} has a price from {day} already. Choose a later day, or end that price first."


class PriceListNotReady(CatalogError):
    """The list was read with errors, was taken over already, or was dropped."""

    code = "price_list_not_ready"
    sentence = "This price list cannot be taken over: {why}"


class CurrencyLocked(CatalogError):
    """Documents are written in the kitchen's currency."""

    code = "currency_locked"
    sentence = "The currency stays {currency}: quotes or other documents are written in it."


class RateInForce(CatalogError):
    """A tax rate that has been in force is history."""

    code = "rate_in_force"
    sentence = (
        "A rate of {what} that has begun stays: amounts were taxed with it. Add the right rate from its first day."
    )
