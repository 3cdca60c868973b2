"""Compute Estimates from JSON documents, as the command `estimate` prints them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from decimal import localcontext
from typing import Any

from costing.contract import Book, CostingError, InputErrors, read_book, read_json, write_estimate
from costing.contract.brief_beside_broken_book import check_beside_broken_book
from costing.contract.brief_reader import read_what_is_sound
from costing.estimating.computation import Computation
from costing.estimating.engine import finish
from costing.estimating.explain import explained
from costing.estimating.needs import needs_errors
from costing.measures.numbers import WIDE
from costing.requirements.compiled_book import compile_book

Document = tuple[str, bytes | str]
"""A name to say in messages, and the text."""


def estimates(book: Book | Document, briefs: Sequence[Document], *, explain: bool = False) -> list[dict[str, Any]]:
    """Compute one Estimate per Brief.

    Parameters
    ----------
    book : Book, or tuple of str and bytes or str
        A sound Book, or the name and text of its document.
    briefs : sequence of (str, bytes or str)
        Name and text of each Brief's document.
    explain : bool, optional
        Whether to add the formula and inputs of every figure.

    Returns
    -------
    list of dict
        The Estimates' JSON documents, in the order of the Briefs.

    Raises
    ------
    InputErrors
        Lists everything wrong with the Book and with all Briefs; none of them gets an Estimate then. With several
        Briefs each message names its Brief.
    """
    ground, errors, document = _ground(book)
    written: list[dict[str, Any]] = []
    for name, text in briefs:
        try:
            written.append(_estimate(ground, text, document, explain=explain))
        except InputErrors as found:
            errors.extend(_named(found.errors, name if len(briefs) > 1 else ""))
    if errors:
        raise InputErrors(errors)
    return written


def _ground(book: Book | Document) -> tuple[Book | None, list[CostingError], Any]:
    """Read the Book. If it has errors, return them with the document as far as it could be parsed."""
    if isinstance(book, Book):
        return book, [], None
    document: Any = None
    try:
        document = read_json(book[1], "book")
        return read_book(document), [], None
    except InputErrors as found:
        return None, list(found.errors), document


def _named(errors: Sequence[CostingError], name: str) -> list[CostingError]:
    if not name:
        return list(errors)
    return [
        replace(error, message=f"{name}: {error.message}") if error.at.startswith("brief#") else error
        for error in errors
    ]


def _estimate(book: Book | None, text: bytes | str, document: Any, *, explain: bool) -> dict[str, Any]:
    reading = read_what_is_sound(read_json(text, "brief"))
    if book is None:
        # Without a sound Book, report the Brief's own errors and those that the Book's document shows.
        if document is not None:
            check_beside_broken_book(reading, document)
        found = reading.found.in_order()
        if found:
            raise InputErrors(found)
        return {}
    compiled = compile_book(book)
    with localcontext(WIDE):
        errors = needs_errors(compiled, reading.brief, reading)
        if errors:
            raise InputErrors(errors)
        computation = Computation(compiled, reading.brief)
        answer = finish(computation)
        return write_estimate(explained(computation, answer) if explain else answer, explain=explain)
