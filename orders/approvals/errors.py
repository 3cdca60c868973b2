"""Refusals of an approval that does not answer what guests cannot eat."""

from orders.records.errors import AllergensChanged, KitchenMustTell, OrderError


class NeedsNotInQuote(AllergensChanged):
    """Guests have a need that was recorded after the quote was sent and that it does not answer."""

    code = "needs_not_in_quote"


class TracesChanged(AllergensChanged):
    """Guests have needs, and what the kitchen says about traces is not what the quote says any more."""

    code = "traces_changed"


class KitchenMustAnswer(KitchenMustTell):
    """The same for the customer who approves: the kitchen has to answer it first."""

    code = "kitchen_must_answer"


class NameNamesNeed(OrderError):
    """What stands where the customer's name stands may name what a guest cannot eat: the kitchen reads it first."""

    code = "name_names_need"
