"""The published JSON Schemas, and their findings as `schema` errors at the contract's places."""

from __future__ import annotations

import json
from collections.abc import Callable, Iterator
from functools import cache
from pathlib import Path as FilePath
from typing import Any, cast

from jsonschema import Draft202012Validator, ValidationError

from costing.contract.errors import CostingError, Path, pointer
from costing.contract.problems import as_object
from costing.contract.quick_schema import Check, quick_check

_FOLDER = FilePath(__file__).with_name("schemas")

_TYPES = {
    "object": "an object",
    "array": "a list",
    "string": "text in quotes",
    "integer": "a whole number without quotes",
    "boolean": "true or false",
}


@cache
def validator(name: str) -> Draft202012Validator:
    """Give the validator of one published schema.

    Parameters
    ----------
    name : {'book', 'brief', 'estimate'}
        Which schema.
    """
    schema = json.loads((_FOLDER / f"{name}.json").read_text(encoding="utf-8"))
    return Draft202012Validator(schema, format_checker=Draft202012Validator.FORMAT_CHECKER)


@cache
def _quick(name: str) -> Check:
    return quick_check(cast("dict[str, Any]", validator(name).schema))


def schema_errors(document: Any, root: str) -> Iterator[tuple[Path, CostingError]]:
    """Check a document against its published schema.

    Parameters
    ----------
    document : object
        A Book or a Brief as read from JSON.
    root : {'book', 'brief'}
        Which of the two.

    Yields
    ------
    tuple of path and CostingError
        Unknown keys at the key, missing keys at the object that lacks them, wrong values at the value.
    """
    if _quick(root)(document):
        return
    misread: set[Path] = set()
    for error in validator(root).iter_errors(document):
        for path, message in _findings(error):
            # A day that is not even written as one is no day of the calendar either: one sentence is enough.
            if error.validator in ("pattern", "format") and path in misread:
                continue
            if error.validator in ("pattern", "format"):
                misread.add(path)
            yield path, CostingError("schema", pointer(root, path), message)


def _findings(error: ValidationError) -> Iterator[tuple[Path, str]]:
    path: Path = tuple(error.absolute_path)
    if error.validator == "additionalProperties" and isinstance(error.schema, dict):
        known = error.schema["properties"]
        allowed = ", ".join(known)
        for key in as_object(error.instance):
            if key not in known:
                yield (*path, key), f"“{_short(key)}” is not a key that belongs here. Use only {allowed}."
    elif error.validator == "required":
        yield path, f"“{_missing(error)}” is missing here. Add it."
    elif error.validator == "propertyNames":
        yield path, "A code here is empty or longer than 200 characters. Give it a short code."
    else:
        yield path, _sentence(error, path)


def _missing(error: ValidationError) -> str:
    """Name the one missing key of this error; the library reports each missing key by itself."""
    required: list[str] = list(cast("list[str]", error.validator_value))
    return next(key for key in required if error.message.startswith(repr(key)))


def _sentence(error: ValidationError, path: Path) -> str:
    name = f"“{_short(path[-1])}”" if path else "The document"
    value: Any = error.validator_value
    sentences: dict[str, Callable[[], str]] = {
        "type": lambda: f"{name} is not {_TYPES.get(str(value), str(value))}. Write it as {_TYPES.get(str(value))}.",
        "enum": lambda: f"{name} is none of {', '.join(value)}. Use one of them.",
        "const": lambda: f"{name} is not “{value}”. Write exactly that.",
        "pattern": lambda: f"{name} is not written as {_written(error)}. Correct it.",
        "format": lambda: f"{name} is not a day of the calendar. Write it like 2027-02-06.",
        "minItems": lambda: f"{name} is empty. Give at least one entry.",
        "minLength": lambda: f"{name} is empty. Fill it in.",
        "maxLength": lambda: f"{name} is longer than {value} characters. Shorten it.",
        "minimum": lambda: f"{name} is below {value}. Use a larger number.",
        "maximum": lambda: f"{name} is above {value}. Use a smaller number.",
        "anyOf": lambda: "This line names neither an ingredient nor a recipe. Add one of the two.",
    }
    make = sentences.get(str(error.validator))
    return make() if make else f"{name} cannot stand beside “recipe”. Name an ingredient or a recipe, not both."


def _written(error: ValidationError) -> str:
    pattern = str(error.validator_value)
    if pattern.startswith("^-?"):
        return "an exact decimal in quotes, such as 12.50, without exponent or commas"
    return "a currency code of three capitals" if "A-Z" in pattern else "a day, such as 2027-02-06"


def _short(text: object) -> str:
    whole = str(text)
    return whole if len(whole) <= 40 else whole[:39] + "…"
