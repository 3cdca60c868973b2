"""Check the texts of a Book of values against the published schema: choices, codes, lengths, either-or.

The types of the dataclasses ensure the rest of the schema: numbers are numbers and days are days.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import is_dataclass
from typing import Any

from costing.contract.book import Book, RecipeLine, Tax
from costing.contract.entries import ATTRIBUTES
from costing.contract.errors import Path
from costing.contract.optional_keys import OPTIONAL
from costing.contract.problems import Problems
from costing.contract.schema import fault, schema_of, short
from costing.measures.measure import Measure

_BROKEN: Mapping[str, Any] = {
    "enum": lambda text, among: text not in among,
    "pattern": lambda text, pattern: not re.search(pattern, text),
    "minLength": lambda text, least: len(text) < least,
    "maxLength": lambda text, most: len(text) > most,
}
"""Keyword of the schema -> whether a text breaks it."""


def check_texts(found: Problems, book: Book) -> None:
    """Check the texts of a Book of values against the published schema.

    Parameters
    ----------
    found : Problems
        Where `schema` errors go.
    book : Book
        Any Book.
    """
    schema = schema_of("book")
    _Texts(found, schema["$defs"]).check(book, schema, ())


class _Texts:
    def __init__(self, found: Problems, definitions: Mapping[str, Any]) -> None:
        self.found, self.definitions = found, definitions

    def check(self, value: Any, schema: Mapping[str, Any], path: Path) -> None:
        """Check a value of any kind; the types already ensure numbers, measures and days."""
        if "$ref" in schema:
            schema = self.definitions[schema["$ref"].rpartition("/")[2]]
        if isinstance(value, str):
            self._text(value, schema, path)
        elif isinstance(value, tuple) and schema["type"] == "array":
            for i, item in enumerate(value):
                self.check(item, schema["items"], (*path, i))
        elif isinstance(value, tuple):
            self._coded(value, schema, path)
        elif is_dataclass(value) and not isinstance(value, Measure):
            self._record(value, schema, path)

    def _record(self, record: Any, schema: Mapping[str, Any], path: Path) -> None:
        optional = OPTIONAL.get(type(record), ())
        for key, part in schema["properties"].items():
            if key not in optional:
                self.check(getattr(record, ATTRIBUTES.get(key, key), None), part, (*path, key))
        if isinstance(record, RecipeLine):
            self._line(record, path)

    def _text(self, value: str, schema: Mapping[str, Any], path: Path) -> None:
        for keyword, broken in _BROKEN.items():
            if keyword in schema and broken(value, schema[keyword]):
                reason, params = fault(keyword, schema[keyword])
                self.found.report("schema", path, reason, key=short(path[-1]), **params)

    def _coded(self, records: tuple[Any, ...], schema: Mapping[str, Any], path: Path) -> None:
        """Check records that a document keys by their codes; each code occurs once."""
        seen: set[str] = set()
        for record in records:
            self._text(record.code, schema["propertyNames"], path)
            if record.code in seen:
                self.found.report("duplicate_code", (*path, record.code), "code_twice", code=record.code)
            seen.add(record.code)
            held = record.rates if isinstance(record, Tax) else record
            self.check(held, schema["additionalProperties"], (*path, record.code))

    def _line(self, line: RecipeLine, path: Path) -> None:
        if line.ingredient is None and line.recipe is None:
            self.found.report("schema", path, "names_nothing")
        for key in self._beside_recipe(line):
            self.found.report("schema", (*path, key), "names_two", key=key)

    def _beside_recipe(self, line: RecipeLine) -> Iterator[str]:
        if line.recipe is not None:
            yield from (key for key in ("ingredient", "part") if getattr(line, key) is not None)
