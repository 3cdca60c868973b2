"""Rows of figures that open full width to how each came about: what a price's pages are made of."""

from dataclasses import dataclass

from django.utils.safestring import SafeString

from catalog.web.derivations import Derivation


@dataclass(frozen=True, slots=True)
class FigureRow:
    """A figure with its name, both written for a person, and what opens under it.

    ``share`` is a second figure beside it, ``note`` a line under its name, ``track`` its stretch of a bar above the
    rows; ``picture`` and ``rows`` open with the derivation ``how``. ``total`` rows are ruled above.
    """

    name: str
    value: str
    note: str = ""
    share: str = ""
    how: Derivation | None = None
    track: SafeString | None = None
    picture: SafeString | None = None
    rows: tuple["FigureRow", ...] = ()
    total: bool = False

    @property
    def opens(self) -> bool:
        """Whether there is something to open."""
        return bool(self.how or self.rows or self.picture)
