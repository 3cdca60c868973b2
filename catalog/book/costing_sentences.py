"""The sentences of the computation's errors and warnings in the reader's language."""

from collections.abc import Mapping
from typing import Final

from django.utils.translation import gettext

from costing.contract import CostingError
from costing.contract.sentences import BOOK, BRIEF, DOCUMENT, sentence

#: Kind of document, as an error's place begins with it -> its sentences.
_TABLES: Final[Mapping[str, Mapping[str, str]]] = {"book": BOOK, "brief": BRIEF}


def error_sentence(error: CostingError) -> str:
    """Write an error; one whose sentence is in no table keeps its own."""
    table = _TABLES.get(error.at.partition("#")[0], DOCUMENT)
    reason = str(error.params.get("reason", ""))
    if reason not in table and reason not in DOCUMENT:
        return error.message
    return sentence(table, reason, error.params, gettext)
