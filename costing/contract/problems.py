"""The errors found by the checks of a Book or a Brief, with place, sentence and parameters, in document order."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from costing.contract.errors import CostingError, Param, Path, pointer
from costing.contract.places import place
from costing.contract.sentences import BOOK, BRIEF, DOCUMENT, sentence
from costing.measures.measure import MeasureError

_TEMPLATES: Mapping[str, Mapping[str, str]] = {"book": BOOK, "brief": BRIEF}


def costing_error(root: str, code: str, path: Path, reason: str, /, **params: Param) -> CostingError:
    """Create an error with its sentence.

    Parameters
    ----------
    root : str
        Where it stands: `book`, `brief`, or another kind of document.
    code : str
        Error code.
    path : tuple of str or int
        Its place.
    reason : str
        Which sentence of `costing.contract.sentences`.
    **params : str, int, Fraction, date or tuple of str
        What the sentence is made of.
    """
    message = sentence(_TEMPLATES.get(root, DOCUMENT), reason, params)
    return CostingError(code, pointer(root, path), message, {"reason": reason, **params})


@dataclass(slots=True)
class Problems:
    """Errors found in one Book or Brief.

    Parameters
    ----------
    root : str
        What is checked: `book` or `brief`.
    document : object
        The document as parsed, or the Book or Brief itself; the order of errors comes from it.
    found : list of (path, CostingError)
        What was found so far.
    """

    root: str
    document: Any
    found: list[tuple[Path, CostingError]] = field(default_factory=list)

    def report(self, code: str, path: Path, reason: str, /, **params: Param) -> None:
        """Add one error by the reason of its sentence.

        Parameters
        ----------
        code : str
            Error code.
        path : tuple of str or int
            Its place.
        reason : str
            Which sentence of `costing.contract.sentences`.
        **params : str, int, Fraction, date or tuple of str
            What the sentence is made of.
        """
        self.found.append((path, costing_error(self.root, code, path, reason, **params)))

    def report_measure(self, path: Path, error: MeasureError) -> None:
        """Add the error of a measure that cannot be read.

        Parameters
        ----------
        path : tuple of str or int
            Its place.
        error : MeasureError
            What is wrong with it.
        """
        params = {"reason": error.reason, **error.params}
        self.found.append((path, CostingError("bad_measure", pointer(self.root, path), str(error), params)))

    def add(self, code: str, path: Path, message: str, /, **params: Param) -> None:
        """Add one error with a sentence of its own.

        Parameters
        ----------
        code : str
            Error code.
        path : tuple of str or int
            Its place.
        message : str
            A sentence that names the thing and the fix.
        **params : str, int, Fraction, date or tuple of str
            What the sentence is made of.
        """
        self.found.append((path, CostingError(code, pointer(self.root, path), message, params)))

    def unreadable(self) -> set[str]:
        """Return the places that break the schema."""
        return {error.at for _, error in self.found if error.code == "schema"}

    def in_order(self) -> list[CostingError]:
        """Return the errors in document order, each once."""
        if not self.found:
            return []
        ordered = sorted(self.found, key=lambda item: place(self.document, item[0]))
        return list(dict.fromkeys(error for _, error in ordered))
