"""The refusals that a page of an order shows in its forms: production does not begin, or nothing is handed over."""

from typing import Final

from orders.records.cooling_errors import (
    BrokenTogether,
    CoolingOpen,
    DiscardedGoesOut,
    DiscardedWithoutNote,
    HourNotInTime,
    MeasureMissing,
    MeasurerMissing,
    NamesNobody,
    NamesNothingServed,
    NotNamed,
    RuleWasNotMet,
    SaysNothing,
    StartEarly,
    StartLate,
    StartNever,
    StartTooEarly,
    StartUnjudged,
    StartWaits,
    TooOld,
    TooOldWaits,
    TooWarmToGo,
    WaitsForOwner,
)
from orders.records.need_errors import KitchenNoteUnread, MessagesUnread, OrderUnsettled, SheetsOld

#: Why production does not begin.
NOT_STARTED: Final = (
    BrokenTogether,
    HourNotInTime,
    KitchenNoteUnread,
    MeasureMissing,
    MeasurerMissing,
    MessagesUnread,
    NamesNobody,
    OrderUnsettled,
    SheetsOld,
    StartEarly,
    StartLate,
    StartNever,
    StartTooEarly,
    StartUnjudged,
    StartWaits,
)
#: Why an order is not handed over.
NOT_HANDED_OVER: Final = (
    CoolingOpen,
    DiscardedGoesOut,
    DiscardedWithoutNote,
    KitchenNoteUnread,
    MessagesUnread,
    NamesNothingServed,
    NotNamed,
    OrderUnsettled,
    RuleWasNotMet,
    SaysNothing,
    TooOld,
    TooOldWaits,
    TooWarmToGo,
    WaitsForOwner,
)
