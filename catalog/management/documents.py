"""Documents that a command is given as files or on standard input."""

from __future__ import annotations

import sys
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Any

from costing.contract import CostingError, InputErrors

Document = tuple[str, bytes]
Answers = list[dict[str, Any]]


def answered(paths: Sequence[str], kind: str, answers: Callable[[list[Document]], Answers]) -> Answers:
    """Return the answers to the documents of a kind, or raise everything wrong with any of them.

    Raises
    ------
    InputErrors
        Files that cannot be read, and what is wrong in those that can.
    """
    unread: list[CostingError] = []
    documents = [document for path in paths if (document := _document(path, kind, unread)) is not None]
    try:
        found = answers(documents)
    except InputErrors as wrong:
        raise InputErrors([*unread, *wrong.errors]) from None
    if unread:
        raise InputErrors(unread)
    return found


def _document(path: str, kind: str, unread: list[CostingError]) -> Document | None:
    try:
        return path, sys.stdin.buffer.read() if path == "-" else Path(path).read_bytes()
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or str(error)
        message = f"{path} cannot be read: {reason}. Name a file with a {kind}."
        unread.append(CostingError("schema", f"{kind}#", message))
        return None
