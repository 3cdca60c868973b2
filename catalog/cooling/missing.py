"""What is missing to work out how something cools, and where it is entered."""

from dataclasses import dataclass
from typing import Any, Final

from catalog.records.reasons import Reason

#: Reason: by its longest hold before the cold it is not cold in time.
HELD: Final = "held_too_long"


@dataclass(frozen=True, slots=True)
class Missing:
    """Missing input of cooling: a reason, and the record of the catalog where it can be entered.

    ``kind`` is product, recipe, mold, vessel, station or ingredients; ``thing`` its code or name.
    """

    reason: Reason
    kind: str
    thing: str = ""


class NotWorkedOut(Exception):
    """Cooling cannot be computed, because input is missing."""

    def __init__(self, code: str, kind: str, thing: str, **params: Any) -> None:
        self.missing = Missing(Reason(code, params), kind, thing)
        super().__init__(code)
