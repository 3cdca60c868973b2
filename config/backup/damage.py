"""Which stored documents no longer have the hash they were stored with, by name.

Read with plain SQL: the database may be a file beside the one in use, a schema that is not committed yet, or of an
earlier version that lacks a table.
"""

import hashlib
import json
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from decimal import Decimal
from itertools import groupby
from operator import itemgetter
from typing import Any, Final

from orders.invoices.content import DOCUMENT_COLUMNS, LINE_COLUMNS, PART_COLUMNS, TAX_COLUMNS, hash_of_rows

Query = Callable[[str], Iterable[Any]]
#: Invoices whose rows are read at a time.
_CHUNK: Final = 500


@dataclass(frozen=True, slots=True)
class Hashes:
    """How a database writes the SHA-256 of bytes and of text, as SQL with a place for the column."""

    of_bytes: str
    of_text: str


SQLITE_HASHES: Final = Hashes("sha256_hex({})", "sha256_hex({})")
POSTGRES_HASHES: Final = Hashes("encode(sha256({}), 'hex')", "encode(sha256(convert_to({}, 'UTF8')), 'hex')")


def damaged(query: Query, tables: Iterable[str], hashes: Hashes) -> dict[str, list[str]]:
    """Return kind -> the names of its documents whose content does not have its hash."""
    tables = frozenset(tables)
    parts = "orders_storedpart" in tables
    return {
        "files": sorted([*_whole_files(query, hashes), *(_files_in_parts(query) if parts else _nothing_more(query))]),
        "quotes": _names(query, _QUOTES.format(hashes.of_text.format("content"))),
        "Books": _names(query, _BOOKS.format(hashes.of_text.format("body"))),
        "invoices": list(_invoices(query, in_parts="orders_invoicepart" in tables)),
        "pictures": _names(query, _PICTURES.format(hashes.of_bytes.format("f.body")))
        if "catalog_picturefile" in tables
        else [],
    }


_FILE_NAME: Final = "d.file_name || ' (file ' || d.id || ')'"
_FILES: Final = (
    f"SELECT {_FILE_NAME} FROM orders_storedbytes s JOIN orders_document d ON d.id = s.document_id"  # noqa: S608 - ours
    " WHERE {} <> d.sha256"
)
_WITHOUT_BYTES: Final = (
    f"SELECT {_FILE_NAME} FROM orders_document d"  # noqa: S608 - ours
    " WHERE NOT EXISTS (SELECT 1 FROM orders_storedbytes s WHERE s.document_id = d.id)"
)
_QUOTES: Final = (
    "SELECT number || ' revision ' || revision FROM orders_quote WHERE content_sha256 <> '' AND {} <> content_sha256"
    " ORDER BY id"
)
_BOOKS: Final = "SELECT 'Book ' || id FROM orders_booksnapshot WHERE {} <> sha256 ORDER BY id"
#: A picture is named by the hash of its largest file.
_PICTURES: Final = (
    "SELECT 'picture ' || SUBSTR(p.sha256, 1, 12) FROM catalog_picture p JOIN catalog_picturefile f"
    " ON f.picture_id = p.id AND f.width = (SELECT MAX(width) FROM catalog_picturefile WHERE picture_id = p.id)"
    " WHERE {} <> p.sha256 ORDER BY p.id"
)


def _names(query: Query, statement: str) -> list[str]:
    return [name for (name,) in query(statement)]


def _whole_files(query: Query, hashes: Hashes) -> list[str]:
    return _names(query, _FILES.format(hashes.of_bytes.format("s.body")))


def _nothing_more(query: Query) -> list[str]:
    """Return files without bytes, where all have them in one row."""
    return _names(query, _WITHOUT_BYTES)


def _files_in_parts(query: Query) -> Iterator[str]:
    """Return files stored in parts whose parts do not have the file's hash, and files without bytes: part by part."""
    files = f"SELECT d.id, {_FILE_NAME}, d.sha256 {_WITHOUT_BYTES.partition(_FILE_NAME)[2]} ORDER BY d.id"
    for pk, name, sha256 in list(query(files)):
        digest = hashlib.sha256()
        parts = f"SELECT id FROM orders_storedpart WHERE document_id = {int(pk)} ORDER BY position"  # noqa: S608
        for (part,) in list(query(parts)):
            ((body,),) = query(f"SELECT body FROM orders_storedpart WHERE id = {int(part)}")  # noqa: S608
            digest.update(body)
        if digest.hexdigest() != sha256:
            yield name


def _invoices(query: Query, *, in_parts: bool) -> Iterator[str]:
    """Return the numbers of issued documents whose fields, lines, taxes or payments are not those of their hash."""
    keys = [pk for (pk,) in query("SELECT id FROM orders_invoice WHERE content_sha256 <> '' ORDER BY id")]
    for first in range(0, len(keys), _CHUNK):
        chosen = f"({', '.join(str(int(pk)) for pk in keys[first : first + _CHUNK])})"
        lines = _rows_of(query, "orders_invoiceline", LINE_COLUMNS, chosen)
        taxes = _rows_of(query, "orders_invoicetax", TAX_COLUMNS, chosen)
        parts = _rows_of(query, "orders_invoicepart", PART_COLUMNS, chosen) if in_parts else {}
        columns = ", ".join(DOCUMENT_COLUMNS)
        documents = f"SELECT content_sha256, {columns} FROM orders_invoice WHERE id IN {chosen} ORDER BY id"  # noqa: S608
        for sha256, *values in query(documents):
            document = _plain(DOCUMENT_COLUMNS, values)
            rows = (found.get(document["id"], []) for found in (lines, taxes, parts))
            if hash_of_rows(document, *rows) != sha256:
                yield str(document["number"])


def _rows_of(query: Query, table: str, columns: tuple[str, ...], invoices: str) -> dict[int, list[dict[str, Any]]]:
    """Return the rows of some invoices by invoice, in their order."""
    statement = (
        f"SELECT invoice_id, {', '.join(columns)} FROM {table} WHERE invoice_id IN {invoices}"  # noqa: S608 - ours
        " ORDER BY invoice_id, position, id"
    )
    groups = groupby(query(statement), key=itemgetter(0))
    return {pk: [_plain(columns, row[1:]) for row in rows] for pk, rows in groups}


def _plain(columns: tuple[str, ...], values: Iterable[Any]) -> dict[str, Any]:
    """Return a row's values as the program reads them: of JSON and of exact numbers both databases give text."""
    row = dict(zip(columns, values, strict=True))
    for name in ("seller", "buyer"):
        if isinstance(row.get(name), str):
            row[name] = json.loads(row[name])
    return row | {name: Decimal(row[name]) for name in ("quantity", "rate") if name in row}
