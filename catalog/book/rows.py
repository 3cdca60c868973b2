"""Rows as the database stores them, and the records made of them, so that only what changed is made anew.

A record of the Book (an ingredient, a recipe, a product) depends on its own row and on the rows that belong to it, and
on nothing else. So a record whose rows read the same as before is the same record. Comparing stored values is far
cheaper than converting them: a kitchen of 2,000 products has some 20,000 rows, of which a change touches a few.
"""

from collections import defaultdict
from collections.abc import Callable, Iterable, Iterator
from functools import cache
from typing import Any, TypeVar

from django.db import connection
from django.db.models import Model

Record = TypeVar("Record")
Row = tuple[Any, ...]


@cache
def _question(_vendor: str, model: type[Model], columns: tuple[str, ...], order: tuple[str, ...]) -> tuple[Any, ...]:
    """Return the statement that reads columns of a table with its values, and what converts the rows it gives.

    The Book asks the same after every change: to make a statement takes Django thirty times as long as to answer it.
    """
    queryset = model._default_manager.order_by(*order) if order else model._default_manager.all()
    compiler: Any = queryset.values_list(*columns).query.get_compiler(connection=connection)
    statement, parameters = compiler.as_sql()
    return statement, parameters, compiler.get_converters([column[0] for column in compiler.select])


class Rows:
    """All rows of a table, in its order or another, as they are stored; ``converted`` gives their values."""

    def __init__(self, model: type[Model], *columns: str, order: tuple[str, ...] = ()) -> None:
        statement, parameters, self._converters = _question(connection.vendor, model, columns, order)
        with connection.cursor() as cursor:
            cursor.execute(statement, parameters)
            self.stored: list[Row] = cursor.fetchall()

    def __iter__(self) -> Iterator[Row]:
        """Go through the values of all rows."""
        return iter(self.converted(self.stored))

    def converted(self, rows: Iterable[Row]) -> list[Row]:
        """Convert some of the rows to the values a queryset gives."""
        return [self._values(list(row)) for row in rows]

    def _values(self, row: list[Any]) -> Row:
        for place, (converters, column) in self._converters.items():
            for convert in converters:
                row[place] = convert(row[place], column, connection)
        return tuple(row)

    def by_owner(self) -> dict[int, list[Row]]:
        """Group the stored rows by their first column, the key of their owner."""
        groups: dict[int, list[Row]] = defaultdict(list)
        for row in self.stored:
            groups[row[0]].append(row)
        return groups


class RecordCache:
    """Records by kind and primary key, each with the stored rows it was made of."""

    def __init__(self) -> None:
        self._records: dict[str, dict[int, tuple[tuple[Any, ...], Any]]] = {}

    def records(
        self, kind: str, owners: Rows, owned: Iterable[Rows], make: Callable[..., Record]
    ) -> tuple[Record, ...]:
        """Return one record for each row of ``owners``, whose first column is the primary key.

        ``make`` gets the owner's row, and for each of ``owned`` its list of rows without the owner's key, all
        converted. It is called only where a stored row differs from what the cached record was made of.
        """
        before, now = self._records.get(kind, {}), {}
        groups = [(rows, rows.by_owner()) for rows in owned]
        for row in owners.stored:
            stored = (row, *(grouped.get(row[0], ()) for _, grouped in groups))
            known = before.get(row[0])
            if known is None or known[0] != stored:
                details = ([item[1:] for item in rows.converted(grouped.get(row[0], ()))] for rows, grouped in groups)
                known = (stored, make(owners.converted([row])[0], *details))
            now[row[0]] = known
        self._records[kind] = now
        return tuple([record for _, record in now.values()])
