"""How many days each kind of row is kept: the one list of kinds, read by the settings and by the rules.

No period is taken from a source: ten years is, from memory, the longest that European tax laws commonly ask for
documents, three years a common time in which an order can be disputed, and two years a kitchen's usual memory. They are
starting points for a talk with an adviser.
"""

from typing import Final

_YEAR: Final = 365

#: Kinds that are let go of, and the days that ``COLDSET_RETENTION`` may change.
DAYS: Final = {
    "outbox": 90,
    "backup": _YEAR,
    "prepared_file": 2,
    "price_list_file": _YEAR,
    "spreadsheet_file": 30,
    "picture": 30,
    "inquiry": 2 * _YEAR,
    "customer": 2 * _YEAR,
    "approval_origin": 3 * _YEAR,
}
#: Kinds the program deletes none of, and how long they are kept at least.
RETAINED: Final = {"document": 10 * _YEAR, "audit": 10 * _YEAR}
