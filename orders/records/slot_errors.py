"""Refusals of an approval, or of keeping a day, that has no place in the kitchen's plan."""

from typing import Any

from orders.records.errors import OrderError


class NoSlot(OrderError):
    """It has no place in the plan beside what is promised.

    ``answer`` is what is known, as ``orders.planning`` stores it; ``undecided`` where nothing proves that there is no
    place, and it is looked for in the background.
    """

    code = "no_slot"

    def __init__(self, answer: Any, *, undecided: bool = False, **params: Any) -> None:
        super().__init__(**params)
        self.answer, self.undecided = answer, undecided


class PlaceUnseen(OrderError):
    """No place was found for what is sent, and whoever sends it did not say that she saw that."""

    code = "place_unseen"


class SlotTaken(NoSlot):
    """For the owner: it cannot be made beside what is promised."""

    code = "slot_taken"


class SlotUndecided(NoSlot):
    """For the owner: no place for all of it was found yet."""

    code = "slot_undecided"


class TimeTaken(NoSlot):
    """For the customer: the time to make it went to others."""

    code = "time_taken"


class OfferedTaken(TimeTaken):
    """For the customer, of a quote that offers several times: the one she chose went to others."""

    code = "offered_taken"


class NoSuchTime(OrderError):
    """The time that was chosen is none of those that the quote offers."""

    code = "no_such_time"


class WindowsChanged(OrderError):
    """A time that was to be offered does not work any more, or was not checked for the draft as it is."""

    code = "windows_changed"


class TooManyOffered(OrderError):
    """More times than may be offered with one quote."""

    code = "too_many_offered"


class TimeUnsure(NoSlot):
    """For the customer: the kitchen checks whether it can still be made."""

    code = "time_unsure"


class OfferedUnsure(TimeUnsure):
    """For the customer, of a quote that offers several times: the kitchen checks the one she chose."""

    code = "offered_unsure"
