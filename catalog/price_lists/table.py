"""What is read of a price list: its rows as text, or why its file cannot be read."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Final

#: What a column can hold; ``size`` is that of one piece, where the pack's column only counts them.
COLUMNS: Final = ("item", "pack", "size", "price")
#: Those a list cannot do without.
NEEDED: Final = ("item", "pack", "price")
#: Rows, columns and characters of a cell that are shown of a file, so that its columns can be chosen.
SAMPLE_ROWS: Final = 10
SAMPLE_COLUMNS: Final = 12
SAMPLE_CHARACTERS: Final = 40


@dataclass(frozen=True, slots=True)
class TableRow:
    """One row as text, with its number in the file (the head is row 1 or later)."""

    number: int
    item: str
    pack: str
    price: str


@dataclass(frozen=True, slots=True)
class Choice:
    """Which column holds what: its place (the first is 0), and the head it had; heads are empty where none is known."""

    places: Mapping[str, int]
    heads: Mapping[str, str] = field(default_factory=dict)

    @property
    def by_head(self) -> bool:
        """Whether the columns are found again by their heads, wherever they stand."""
        return all(self.heads.get(key) for key in self.places)


@dataclass(frozen=True, slots=True)
class Table:
    """The rows of a file, the columns they were read from, its first rows, and how many rows held only headings."""

    rows: list[TableRow]
    columns: Choice
    sample: list[list[str]]
    headings: int = 0
