"""A fast check whether a document is valid against its schema.

The `jsonschema` library names every fault of a document, but takes seconds for a Book of thousands of products. This
module compiles a published schema into plain functions once; those accept a valid document in a fraction of the time. A
document that they do not accept is checked by the library, so all errors come from the library; a test compares the
two. With a keyword this module does not know it accepts no document.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from datetime import date
from functools import lru_cache
from typing import Any

Check = Callable[[Any], bool]

_DAY = re.compile(r"\d{4}-\d{2}-\d{2}", re.ASCII)
_SILENT = {"$schema", "$id", "$defs", "title", "description"}


def compile_schema(schema: dict[str, Any]) -> Check:
    """Compile a schema to a function that accepts only documents that are certainly valid.

    Parameters
    ----------
    schema : dict
        A JSON Schema of draft 2020-12.

    Returns
    -------
    callable
        Document -> True when it is valid; False when it is not valid, or when that is not certain.
    """
    return _Maker(schema).check(schema)


@lru_cache(maxsize=4096)
def _is_day(text: str) -> bool:
    if _DAY.fullmatch(text) is None:
        return False
    try:
        date.fromisoformat(text)
    except ValueError:
        return False
    return True


class _Maker:
    def __init__(self, root: dict[str, Any]) -> None:
        self.defs: dict[str, Any] = root.get("$defs", {})
        self.made: dict[str, Check] = {}

    def check(self, schema: Any) -> Check:
        if isinstance(schema, bool):
            return lambda _: schema
        checks = [check for key, value in schema.items() if (check := self.keyword(key, value, schema)) is not None]
        if len(checks) == 1:
            return checks[0]
        return lambda value: all(check(value) for check in checks)

    def keyword(self, key: str, value: Any, schema: dict[str, Any]) -> Check | None:
        """Return the check of one keyword; None for keywords that check nothing or are checked with another."""
        if key in _SILENT:
            return None
        if key in ("properties", "required", "additionalProperties"):
            first = next(k for k in schema if k in ("properties", "required", "additionalProperties"))
            return self.object(schema) if key == first else None
        maker: Callable[[Any], Check] | None = getattr(self, f"_{key.strip('$')}", None)
        return maker(value) if maker else lambda _: False

    def object(self, schema: dict[str, Any]) -> Check:
        known = {key: self.check(value) for key, value in schema.get("properties", {}).items()}
        required = set(schema.get("required", ()))
        others = self.check(schema.get("additionalProperties", True))

        def holds(value: Any) -> bool:
            if not isinstance(value, dict):
                return True
            return required <= value.keys() and all(known.get(key, others)(item) for key, item in value.items())

        return holds

    def _ref(self, value: str) -> Check:
        name = value.rpartition("/")[2]
        if name not in self.made:
            # A definition may refer to itself: look the check up by name when it runs.
            self.made[name] = lambda item: self.made[name](item)
            self.made[name] = self.check(self.defs[name])
        return self.made[name]

    def _type(self, value: str) -> Check:
        kinds: dict[str, tuple[type, ...]] = {
            "object": (dict,),
            "array": (list,),
            "string": (str,),
            "boolean": (bool,),
            "null": (type(None),),
            "integer": (int,),
        }
        kind = kinds.get(value, ())
        if value == "integer":
            return lambda item: isinstance(item, int) and not isinstance(item, bool)
        return lambda item: isinstance(item, kind)

    def _enum(self, value: list[Any]) -> Check:
        texts = {item for item in value if isinstance(item, str)}
        return lambda item: isinstance(item, str) and item in texts

    def _const(self, value: Any) -> Check:
        return lambda item: isinstance(item, str) and item == value

    def _pattern(self, value: str) -> Check:
        search = re.compile(value).search
        return lambda item: not isinstance(item, str) or search(item) is not None

    def _format(self, value: str) -> Check:
        if value != "date":
            return lambda item: not isinstance(item, str)
        return lambda item: not isinstance(item, str) or _is_day(item)

    def _minLength(self, value: int) -> Check:  # noqa: N802 - the schema's own keyword
        return lambda item: not isinstance(item, str) or len(item) >= value

    def _maxLength(self, value: int) -> Check:  # noqa: N802 - the schema's own keyword
        return lambda item: not isinstance(item, str) or len(item) <= value

    def _minimum(self, value: int) -> Check:
        return lambda item: not isinstance(item, int | float) or item >= value

    def _maximum(self, value: int) -> Check:
        return lambda item: not isinstance(item, int | float) or item <= value

    def _items(self, value: Any) -> Check:
        check = self.check(value)
        return lambda item: not isinstance(item, list) or all(check(entry) for entry in item)

    def _minItems(self, value: int) -> Check:  # noqa: N802 - the schema's own keyword
        return lambda item: not isinstance(item, list) or len(item) >= value

    def _anyOf(self, value: list[Any]) -> Check:  # noqa: N802 - the schema's own keyword
        checks = [self.check(entry) for entry in value]
        return lambda item: any(check(item) for check in checks)

    def _not(self, value: Any) -> Check:
        check = self.check(value)
        return lambda item: not check(item)

    def _propertyNames(self, value: Any) -> Check:  # noqa: N802 - the schema's own keyword
        check = self.check(value)
        return lambda item: not isinstance(item, dict) or all(check(key) for key in item)

    def _dependentSchemas(self, value: dict[str, Any]) -> Check:  # noqa: N802 - the schema's own keyword
        checks = [(key, self.check(schema)) for key, schema in value.items()]
        return lambda item: not isinstance(item, dict) or all(check(item) for key, check in checks if key in item)
