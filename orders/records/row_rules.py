"""What may ever change in a table's rows: data beside each table, as its attribute ``ROWS``.

The database keeps the rules by triggers (``orders.records.immutable_rows``), and the application's PostgreSQL role gets
no right that they never allow. A column that is not named is fixed, even one that is added later.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Final

#: What stands in place of a person's words after they were erased.
ERASED: Final = "[erased]"
#: Event of the audit trail that has to stand there before a row's words may be erased.
ERASE: Final = "erase"


@dataclass(frozen=True, slots=True)
class InForce:
    """A key that may change to another document alone: to one that names this row back, and has a status.

    ``column`` is the key, ``back`` the column of the other document that names this row, ``status`` the status it has
    to have by then.
    """

    column: str
    back: str
    status: str


@dataclass(frozen=True, kw_only=True)
class RowRules:
    """What may change in the rows of one table. A row is never deleted, unless it is a draft or belongs to one.

    ``name`` is what a row is called in a refusal. ``mutable`` columns change freely, ``set_once`` ones are filled in
    once, ``counts_up`` ones only grow by one. ``with_status`` names the columns that are written by the statement that
    moves the row to a status; the status itself follows the document's transition table.

    ``erasable`` columns may be replaced by :data:`ERASED` (or by nothing, where nothing is allowed) once the audit
    trail says who erases the row (event :data:`ERASE`); ``params.to`` is the key "to" of the JSON column "params".
    ``erased_inside`` names columns of JSON text and what then stands at which of their keys; ``rewritten_with`` names
    columns that change with another one, such as its hash. With ``erased_after`` rows are erased in these statuses
    alone, and never while another row with the same ``standing_with`` column has the status named beside it.
    With ``deleted_when_erased`` a row may be deleted once the audit trail says so.

    With ``drafts`` a row is free while it is a draft. ``part_of`` names the key of the document a row belongs to and
    becomes immutable with. ``added_until`` names a key and an event: after the event no row is added to that document.

    ``in_force`` is a key that changes only to a document of its own (:class:`InForce`). ``renewed_with`` names the key
    of a document with such a rule: its parts are added and deleted once the next one in force has its status, and until
    the key is changed to it.
    """

    name: str
    mutable: tuple[str, ...] = ()
    set_once: tuple[str, ...] = ()
    counts_up: tuple[str, ...] = ()
    with_status: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    erasable: tuple[str, ...] = ()
    erased_inside: Mapping[str, Mapping[str, str | list[str] | bool]] = field(default_factory=dict)
    rewritten_with: Mapping[str, str] = field(default_factory=dict)
    erased_after: tuple[str, ...] = ()
    standing_with: tuple[str, str] = ("", "")
    deleted_when_erased: bool = False
    drafts: bool = False
    part_of: str = ""
    added_until: tuple[str, str] = ("", "")
    in_force: InForce | None = None
    renewed_with: str = ""

    @property
    def may_be_deleted(self) -> bool:
        """Whether there are rows that may be deleted."""
        return self.drafts or bool(self.part_of or self.renewed_with) or self.deleted_when_erased

    @property
    def changing(self) -> frozenset[str]:
        """The columns that may change in some row, by field name; not those of drafts, where all do."""
        followed = () if self.in_force is None else (self.in_force.column,)
        named = (*self.mutable, *self.set_once, *self.counts_up, *(path.split(".")[0] for path in self.erasable))
        return frozenset(named).union(followed, self.erased_inside, self.rewritten_with, *self.with_status.values())
