"""The published JSON Schemas; their findings become `schema` errors at the contract's places."""

from __future__ import annotations

import json
from collections.abc import Callable, Iterator, Mapping
from functools import cache
from pathlib import Path as FilePath
from typing import TYPE_CHECKING, Any, cast

from costing.contract.entries import as_object
from costing.contract.errors import Path
from costing.contract.problems import Problems
from costing.contract.schema_compiler import Check, compile_schema

if TYPE_CHECKING:
    from jsonschema import Draft202012Validator, ValidationError

_FOLDER = FilePath(__file__).with_name("schemas")
Fault = tuple[str, dict[str, str | int | tuple[str, ...]]]
"""Reason of the sentence, and what it is made of."""


@cache
def validator(name: str) -> Draft202012Validator:
    """Return the validator of one published schema.

    Parameters
    ----------
    name : {'book', 'brief', 'estimate'}
        Which schema.
    """
    # Imported here: only documents with errors need the library, and it takes as long as a small estimate.
    from jsonschema import Draft202012Validator

    return Draft202012Validator(schema_of(name), format_checker=Draft202012Validator.FORMAT_CHECKER)


@cache
def schema_of(name: str) -> dict[str, Any]:
    """Return one published schema.

    Parameters
    ----------
    name : {'book', 'brief', 'estimate'}
        Which schema.
    """
    return cast("dict[str, Any]", json.loads((_FOLDER / f"{name}.json").read_text(encoding="utf-8")))


@cache
def _compiled(name: str) -> Check:
    return compile_schema(schema_of(name))


def check_schema(found: Problems, document: Any) -> None:
    """Check a document against its published schema.

    Parameters
    ----------
    found : Problems
        Where errors go: unknown keys at the key, missing keys at the object that lacks them, wrong values at the
        value.
    document : object
        A Book or a Brief as read from JSON.
    """
    if _compiled(found.root)(document):
        return
    misread: set[Path] = set()
    for error in validator(found.root).iter_errors(document):
        for path, (reason, params) in _faults(error):
            # A text that is not written as a date also fails the calendar check: report only one of the two.
            if error.validator in ("pattern", "format") and path in misread:
                continue
            if error.validator in ("pattern", "format"):
                misread.add(path)
            found.report("schema", path, reason, **params)


def _faults(error: ValidationError) -> Iterator[tuple[Path, Fault]]:
    path: Path = tuple(error.absolute_path)
    if error.validator == "additionalProperties" and isinstance(error.schema, dict):
        known = tuple(error.schema["properties"])
        for key in as_object(error.instance):
            if key not in known:
                yield (*path, key), ("unknown_key", {"key": short(key), "among": known})
    elif error.validator == "required":
        yield path, ("missing_key", {"key": _missing(error)})
    else:
        named = {"key": short(path[-1])} if path else {}
        reason, params = fault(str(error.validator), error.validator_value)
        yield path, (reason, {**named, **params})


def _missing(error: ValidationError) -> str:
    """Return the missing key of this error; the library reports each missing key as an error of its own."""
    required: list[str] = list(cast("list[str]", error.validator_value))
    return next(key for key in required if error.message.startswith(repr(key)))


_FAULTS: Mapping[str, Callable[[Any], Fault]] = {
    "type": lambda value: ("wrong_type", {"type": str(value)}),
    "enum": lambda value: ("not_a_choice", {"among": tuple(value)}),
    "const": lambda value: ("other_text", {"text": value}),
    "pattern": lambda value: (_misspelled(str(value)), {}),
    "format": lambda value: ("no_such_day", {}),
    "minItems": lambda value: ("empty_list", {}),
    "minLength": lambda value: ("empty_text", {}),
    "maxLength": lambda value: ("too_long", {"most": value}),
    "minimum": lambda value: ("too_small", {"least": value}),
    "maximum": lambda value: ("too_large", {"most": value}),
    "anyOf": lambda value: ("names_nothing", {}),
}


def fault(keyword: str, value: Any) -> Fault:
    """Return the reason and parameters of an error found by a keyword of a schema.

    Parameters
    ----------
    keyword : str
        The keyword that failed.
    value : object
        The keyword's value in the schema.
    """
    make = _FAULTS.get(keyword)
    return make(value) if make else ("names_two", {})


def _misspelled(pattern: str) -> str:
    if pattern.startswith("^-?"):
        return "not_decimal"
    return "not_currency" if "A-Z" in pattern else "not_date"


def short(text: object) -> str:
    """Cut a long key for a sentence.

    Parameters
    ----------
    text : object
        A key, or a position in a list.
    """
    whole = str(text)
    return whole if len(whole) <= 40 else whole[:39] + "…"
