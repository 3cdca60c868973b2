"""JSON text read strictly: whatever is wrong with it becomes a `schema` error with a place."""

from __future__ import annotations

import json
from collections import Counter
from collections.abc import Iterator
from decimal import Decimal, InvalidOperation
from typing import Any

from costing.contract.errors import CostingError, InputErrors, Path, pointer

MAX_DEPTH = 40
_BIGGEST_EXACT_FLOAT = 2**53


class _Object(dict[str, Any]):
    """A JSON object that remembers which keys came twice."""

    twice: tuple[str, ...] = ()


def _object(pairs: list[tuple[str, Any]]) -> _Object:
    found = _Object(pairs)
    if len(found) < len(pairs):
        times = Counter(key for key, _ in pairs)
        found.twice = tuple(key for key in found if times[key] > 1)
    return found


def _number(text: str) -> int | float:
    """Read `3.0` as the whole number it is (JSON Schema 2020-12, 6.1.1: zero fraction is an integer)."""
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
    root : str
        `book` or `brief`, for the places of errors.

    Returns
    -------
    object
        Objects, lists, text, numbers and booleans.

    Raises
    ------
    InputErrors
        `schema` errors: not UTF-8, not JSON, NaN or Infinity, a key twice in one object, nested too deep.
    """
    name = root.capitalize()
    try:
        text = data.decode("utf-8-sig") if isinstance(data, bytes) else data
        document = json.loads(text, object_pairs_hook=_object, parse_float=_number, parse_constant=_constant)
    except UnicodeDecodeError as error:
        raise _unreadable(root, f"The {name} is not UTF-8 text (byte {error.start}). Save it as UTF-8.") from error
    except RecursionError as error:
        raise _unreadable(root, f"The {name} is nested deeper than {MAX_DEPTH} levels. Flatten it.") from error
    except ValueError as error:
        raise _unreadable(root, f"The {name} cannot be read as JSON: {error}. Correct it there.") from error
    problems = list(shape_errors(document, root))
    if problems:
        raise InputErrors(problems)
    return document


def _unreadable(root: str, message: str) -> InputErrors:
    return InputErrors([CostingError("schema", f"{root}#", message)])


def shape_errors(document: Any, root: str) -> Iterator[CostingError]:
    """Find keys that came twice and nesting beyond `MAX_DEPTH`.

    Parameters
    ----------
    document : object
        A document as `read_json` builds it.
    root : str
        `book` or `brief`.

    Yields
    ------
    CostingError
        `schema` errors in document order.
    """
    waiting: list[tuple[Path, Any]] = [((), document)]
    while waiting:
        path, value = waiting.pop()
        if len(path) > MAX_DEPTH:
            yield CostingError(
                "schema", pointer(root, path), f"This is nested deeper than {MAX_DEPTH} levels. Flatten it."
            )
            continue
        for key in getattr(value, "twice", ()):
            yield CostingError(
                "schema", pointer(root, (*path, key)), f"“{key}” stands twice in one object. Keep one of them."
            )
        if isinstance(value, dict):
            waiting.extend(((*path, key), value[key]) for key in reversed(value))
        elif isinstance(value, list):
            waiting.extend(((*path, i), value[i]) for i in reversed(range(len(value))))
