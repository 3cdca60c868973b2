"""One interface to an object of a Book or a Brief, whether it is a JSON document or a record of values.

The rules of the contract are written once, over `Entry`. A document can hold any value anywhere: a value of the wrong
kind counts as missing, and the schema check has reported it. Values in records have the types they declare.
"""

from __future__ import annotations

from abc import ABC, abstractmethod
from collections.abc import Iterable, Iterator, Mapping
from datetime import date
from fractions import Fraction
from typing import Any

from costing.contract.errors import Path
from costing.measures.measure import Measure, MeasureError, parse_measure
from costing.measures.numbers import DECIMAL_TEXT, number, number_text

ATTRIBUTES: Mapping[str, str] = {
    "yield": "yield_",
    "from": "start",
    "to": "end",
    "labour": "labor",
    "per_labour_hour": "per_labor_hour",
    "monthly_labour_hours": "monthly_labor_hours",
    "mould": "mold",
    "moulds": "molds",
}
"""Key of a document -> name of the attribute, where the two differ."""

Coded = Iterator[tuple[str, "Entry"]]
Listed = Iterator[tuple[Path, "Entry"]]


class Entry(ABC):
    """An object of a Book or a Brief, as the rules read it."""

    __slots__ = ()

    @abstractmethod
    def has(self, key: str) -> bool:
        """Return whether the key is there, whatever its value.

        Parameters
        ----------
        key : str
            Key of the document.
        """

    @abstractmethod
    def text(self, key: str) -> str | None:
        """Return a text, a day or a measure as it is written; None where there is none.

        Parameters
        ----------
        key : str
            Key of the document.
        """

    @abstractmethod
    def number(self, key: str) -> Fraction | int | None:
        """Return an exact number; None where there is none.

        Parameters
        ----------
        key : str
            Key of the document.
        """

    @abstractmethod
    def written(self, key: str) -> str:
        """Return a number as it is written.

        Parameters
        ----------
        key : str
            Key of the document.
        """

    @abstractmethod
    def flag(self, key: str) -> bool:
        """Return whether a flag is there and set.

        Parameters
        ----------
        key : str
            Key of the document.
        """

    @abstractmethod
    def texts(self, key: str) -> tuple[str, ...]:
        """Return a list of texts; an empty one where there is none.

        Parameters
        ----------
        key : str
            Key of the document.
        """

    @abstractmethod
    def measure(self, key: str) -> Measure | None:
        """Return a measure above zero; None where there is none.

        Parameters
        ----------
        key : str
            Key of the document.

        Raises
        ------
        MeasureError
            When it cannot be read, or is nothing.
        """

    @abstractmethod
    def object(self, key: str) -> Entry:
        """Return the object under a key; an empty one where there is none.

        Parameters
        ----------
        key : str
            Key of the document.
        """

    @abstractmethod
    def listed(self, key: str, path: Path = ()) -> Listed:
        """Iterate over the objects of a list, each with its place.

        Parameters
        ----------
        key : str
            Key of the document.
        path : tuple of str or int, optional
            Place of this object.
        """

    @abstractmethod
    def coded(self, key: str) -> Coded:
        """Iterate over objects that are keyed by their codes.

        Parameters
        ----------
        key : str
            Key of the document.
        """

    @abstractmethod
    def coded_lists(self, key: str) -> Iterator[tuple[str, Iterable[tuple[int, Entry]]]]:
        """Iterate over lists that are keyed by codes; yield their objects with their positions.

        Parameters
        ----------
        key : str
            Key of the document.
        """


def as_object(value: Any) -> dict[str, Any]:
    """Return a value as an object; an empty one if it is none.

    Parameters
    ----------
    value : object
        What stands there.
    """
    return value if isinstance(value, dict) else {}


def as_text(value: Any) -> str | None:
    """Return a value as a text; None if it is none.

    Parameters
    ----------
    value : object
        What stands there.
    """
    return value if isinstance(value, str) else None


def as_decimal(value: Any) -> Fraction | None:
    """Return a value as an exact decimal; None if it is none.

    Parameters
    ----------
    value : object
        What stands there.
    """
    return number(value) if isinstance(value, str) and DECIMAL_TEXT.fullmatch(value) else None


def as_count(value: Any) -> int | None:
    """Return a value as a whole number; None if it is none.

    Parameters
    ----------
    value : object
        What stands there.
    """
    return value if isinstance(value, int) and not isinstance(value, bool) else None


def entries(value: Any, path: Path) -> Iterator[tuple[Path, dict[str, Any]]]:
    """Iterate over the objects of a document's list with their places; skip anything else.

    Parameters
    ----------
    value : object
        What should be a list.
    path : tuple of str or int
        Its place.
    """
    if isinstance(value, list):
        for i, item in enumerate(value):
            if isinstance(item, dict):
                yield (*path, i), item


class DocumentEntry(Entry):
    """An object of a JSON document; any other value counts as an empty object.

    Parameters
    ----------
    value : object
        What stands there.
    """

    __slots__ = ("_item",)

    def __init__(self, value: Any) -> None:
        self._item: dict[str, Any] = value if isinstance(value, dict) else {}

    def has(self, key: str) -> bool:
        return key in self._item

    def text(self, key: str) -> str | None:
        value = self._item.get(key)
        return value if isinstance(value, str) else None

    def number(self, key: str) -> Fraction | int | None:
        value = self._item.get(key)
        if value is None:
            return None
        return as_decimal(value) if isinstance(value, str) else as_count(value)

    def written(self, key: str) -> str:
        return str(self._item[key])

    def flag(self, key: str) -> bool:
        return self._item.get(key) is True

    def texts(self, key: str) -> tuple[str, ...]:
        value = self._item.get(key)
        return tuple(each for each in value if isinstance(each, str)) if isinstance(value, list) else ()

    def measure(self, key: str) -> Measure | None:
        text = self._item.get(key)
        return parse_measure(text) if isinstance(text, str) else None

    def object(self, key: str) -> Entry:
        return DocumentEntry(self._item.get(key))

    def listed(self, key: str, path: Path = ()) -> Listed:
        for at, item in entries(self._item.get(key), (*path, key)):
            yield at, DocumentEntry(item)

    def coded(self, key: str) -> Coded:
        for code, value in as_object(self._item.get(key)).items():
            yield code, DocumentEntry(value)

    def coded_lists(self, key: str) -> Iterator[tuple[str, Iterable[tuple[int, Entry]]]]:
        for code, values in as_object(self._item.get(key)).items():
            found = enumerate(values) if isinstance(values, list) else ()
            yield code, ((i, DocumentEntry(value)) for i, value in found if isinstance(value, dict))


class ValueEntry(Entry):
    """A record of a Book or a Brief that was built in code.

    Parameters
    ----------
    record : object
        One of the dataclasses of `costing.contract.book` or `costing.contract.brief`, or None for an empty one.
    """

    __slots__ = ("_record",)

    def __init__(self, record: Any) -> None:
        self._record = record

    def _value(self, key: str) -> Any:
        return getattr(self._record, ATTRIBUTES.get(key, key), None)

    def has(self, key: str) -> bool:
        return self._value(key) is not None

    def text(self, key: str) -> str | None:
        value = self._value(key)
        if isinstance(value, Measure):
            return value.text
        if isinstance(value, date):
            return value.isoformat()
        return value if isinstance(value, str) else None

    def number(self, key: str) -> Fraction | int | None:
        value = getattr(self._record, ATTRIBUTES.get(key, key), None)
        if value is None:
            return None
        return value if isinstance(value, (Fraction, int)) and not isinstance(value, bool) else None

    def written(self, key: str) -> str:
        return number_written(self._value(key))

    def flag(self, key: str) -> bool:
        return self._value(key) is True

    def texts(self, key: str) -> tuple[str, ...]:
        return self._value(key) or ()

    def measure(self, key: str) -> Measure | None:
        value = self._value(key)
        if not isinstance(value, Measure):
            return None
        if value.amount <= 0:
            # A text that could not be read is stored as no measure: parsing it again raises the error.
            parse_measure(value.text)
            raise MeasureError("nothing", text=value.text)
        return value

    def object(self, key: str) -> Entry:
        return ValueEntry(self._value(key))

    def listed(self, key: str, path: Path = ()) -> Listed:
        for i, record in enumerate(self._value(key) or ()):
            yield (*path, key, i), ValueEntry(record)

    def coded(self, key: str) -> Coded:
        for record in self._value(key):
            yield record.code, ValueEntry(record)

    def coded_lists(self, key: str) -> Iterator[tuple[str, Iterable[tuple[int, Entry]]]]:
        for record in self._value(key):
            yield record.code, ((i, ValueEntry(rate)) for i, rate in enumerate(record.rates))


def number_written(value: Fraction | int) -> str:
    """Write a number as in a document, or as a quotient where it has no finite decimal form.

    Parameters
    ----------
    value : Fraction or int
        Any number.
    """
    try:
        return number_text(value)
    except ValueError:
        return str(value)
