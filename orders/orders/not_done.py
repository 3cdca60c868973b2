"""The refusals that a page of an order shows in its forms: production does not begin, or nothing is handed over."""

from typing import Final

from orders.records.cooling_errors import (
    BrokenTogether,
    CoolingOpen,
    DiscardedGoesOut,
    DiscardedWithoutNote,
    MeasuresNothing,
    NamesNothingServed,
    NotNamed,
    RuleWasNotMet,
    SaysNothing,
    StartLate,
    StartNever,
    StartUnjudged,
    StartWaits,
    TooOld,
    TooOldWaits,
    WaitsForOwner,
)
from orders.records.need_errors import KitchenNoteUnread, MessagesUnread, OrderUnsettled

#: Why production does not begin.
NOT_STARTED: Final = (
    BrokenTogether,
    KitchenNoteUnread,
    MeasuresNothing,
    MessagesUnread,
    OrderUnsettled,
    SaysNothing,
    StartLate,
    StartNever,
    StartUnjudged,
    StartWaits,
)
#: Why an order is not handed over.
NOT_HANDED_OVER: Final = (
    CoolingOpen,
    DiscardedGoesOut,
    DiscardedWithoutNote,
    KitchenNoteUnread,
    MeasuresNothing,
    MessagesUnread,
    NamesNothingServed,
    NotNamed,
    OrderUnsettled,
    RuleWasNotMet,
    SaysNothing,
    TooOld,
    TooOldWaits,
    WaitsForOwner,
)
