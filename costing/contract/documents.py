"""Read JSON text strictly: every fault becomes a `schema` error with a place."""

from __future__ import annotations

import json
from collections import Counter
from collections.abc import Iterator
from decimal import Decimal, InvalidOperation
from typing import Any

from costing.contract.errors import CostingError, InputErrors, Param, Path
from costing.contract.problems import costing_error

MAX_DEPTH = 40
_BIGGEST_EXACT_FLOAT = 2**53


class _Object(dict[str, Any]):
    """A JSON object that records which keys occurred twice."""

    twice: tuple[str, ...] = ()


def _object(pairs: list[tuple[str, Any]]) -> _Object:
    found = _Object(pairs)
    if len(found) < len(pairs):
        times = Counter(key for key, _ in pairs)
        found.twice = tuple(key for key in found if times[key] > 1)
    return found


def _number(text: str) -> int | float:
    """Read `3.0` as an integer (JSON Schema 2020-12, 6.1.1: a number with a zero fraction is an integer)."""
    try:
        exact = Decimal(text)
    except InvalidOperation:
        return float(text)
    if exact.copy_abs() <= _BIGGEST_EXACT_FLOAT and exact == exact.to_integral_value():
        return int(exact)
    return float(text)


def _constant(text: str) -> Any:
    raise ValueError(f"{text} is not a number in JSON")


def read_json(data: bytes | str, root: str) -> Any:
    """Read a JSON document strictly.

    Parameters
    ----------
    data : bytes or str
        The document; bytes are UTF-8.
    root : {'book', 'brief'}
        What it is, for the places of errors.

    Returns
    -------
    object
        Objects, lists, text, numbers and booleans.

    Raises
    ------
    InputErrors
        `schema` errors: not UTF-8, not JSON, NaN or Infinity, a key twice in one object, nested too deep.
    """
    try:
        text = data.decode("utf-8-sig") if isinstance(data, bytes) else data
        document = json.loads(text, object_pairs_hook=_object, parse_float=_number, parse_constant=_constant)
    except UnicodeDecodeError as error:
        raise _unreadable(root, "not_utf8", byte=error.start) from error
    except RecursionError as error:
        raise _unreadable(root, "too_deep", levels=MAX_DEPTH) from error
    except ValueError as error:
        raise _unreadable(root, "not_json", problem=str(error)) from error
    problems = list(shape_errors(document, root))
    if problems:
        raise InputErrors(problems)
    return document


def parsed(document: Any, root: str) -> Any:
    """Return a document as parsed, whether it is given parsed or as text.

    Parameters
    ----------
    document : object, str or bytes
        As parsed, or as text.
    root : {'book', 'brief'}
        What it is, for the places of errors.

    Raises
    ------
    InputErrors
        See `read_json`.
    """
    return read_json(document, root) if isinstance(document, str | bytes) else document


def _unreadable(root: str, reason: str, **params: Param) -> InputErrors:
    return InputErrors([costing_error(root, "schema", (), reason, document=root.capitalize(), **params)])


def shape_errors(document: Any, root: str) -> Iterator[CostingError]:
    """Find keys that occur twice, and nesting beyond `MAX_DEPTH`.

    Parameters
    ----------
    document : object
        A document as `read_json` builds it.
    root : {'book', 'brief'}
        What it is, for the places of errors.

    Yields
    ------
    CostingError
        `schema` errors in document order.
    """
    waiting: list[tuple[Path, Any]] = [((), document)]
    while waiting:
        path, value = waiting.pop()
        if len(path) > MAX_DEPTH:
            yield costing_error(root, "schema", path, "place_too_deep", levels=MAX_DEPTH)
            continue
        for key in getattr(value, "twice", ()):
            yield costing_error(root, "schema", (*path, key), "key_twice", key=key)
        if isinstance(value, dict):
            waiting.extend(((*path, key), value[key]) for key in reversed(value))
        elif isinstance(value, list):
            waiting.extend(((*path, i), value[i]) for i in reversed(range(len(value))))
