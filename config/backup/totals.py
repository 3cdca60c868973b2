"""What a database holds, in numbers: rows, money, document numbers, and files whose hash is right.

A backup writes them down from its snapshot; a restore counts again and refuses a difference.
"""

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from typing import Any, Final

Query = Callable[[str], Iterable[Any]]

#: A person's signed-in browsers are not backed up: after a restore everybody signs in again.
WITHOUT_ROWS: Final = ("config_browsersession",)

#: What the money adds up to: name -> its sum in minor units for each currency.
_MONEY: Final = {
    "orders": "SELECT currency, SUM(total_minor) FROM orders_order GROUP BY currency",
    "invoices": (
        "SELECT currency, SUM(total_minor) FROM orders_invoice WHERE status <> 'draft' AND kind = '380'"
        " GROUP BY currency"
    ),
    "credit notes": (
        "SELECT currency, SUM(total_minor) FROM orders_invoice WHERE status <> 'draft' AND kind = '381'"
        " GROUP BY currency"
    ),
    "tax": "SELECT currency, SUM(tax_minor) FROM orders_invoice WHERE status <> 'draft' GROUP BY currency",
    "payments": "SELECT currency, SUM(amount_minor) FROM orders_payment GROUP BY currency",
    "exports": "SELECT currency, SUM(total_minor) FROM orders_exportbatch GROUP BY currency",
}
#: Rows whose content does not have the hash that is stored with it; the places are for the columns' hashes.
_DAMAGED: Final = {
    "files": (
        "SELECT COUNT(*) FROM orders_storedbytes s JOIN orders_document d ON d.id = s.document_id"
        " WHERE {body} <> d.sha256"
    ),
    "quotes": "SELECT COUNT(*) FROM orders_quote WHERE content_sha256 <> '' AND {content} <> content_sha256",
    "Books": "SELECT COUNT(*) FROM orders_booksnapshot WHERE {book} <> sha256",
}


@dataclass(frozen=True, slots=True)
class Hashes:
    """How a database writes the SHA-256 of bytes and of text, as SQL with a place for the column."""

    of_bytes: str
    of_text: str


SQLITE_HASHES: Final = Hashes("sha256_hex({})", "sha256_hex({})")
POSTGRES_HASHES: Final = Hashes("encode(sha256({}), 'hex')", "encode(sha256(convert_to({}, 'UTF8')), 'hex')")


def totals_of(query: Query, tables: Iterable[str], hashes: Hashes) -> dict[str, Any]:
    """Return what a database holds, as values of JSON."""
    places = {
        "body": hashes.of_bytes.format("s.body"),
        "content": hashes.of_text.format("content"),
        "book": hashes.of_text.format("body"),
    }
    return {
        "rows": {table: _one(query, f'SELECT COUNT(*) FROM "{table}"') for table in sorted(tables)},  # noqa: S608
        "money": {
            name: {currency: int(total) for currency, total in query(f"{statement} ORDER BY currency")}
            for name, statement in _MONEY.items()
        },
        "numbers": {
            code: int(last) for code, last in query("SELECT code, last FROM orders_numberseries ORDER BY code")
        },
        "damaged": {name: _one(query, statement.format(**places)) for name, statement in _DAMAGED.items()},
        "migrations": [list(row) for row in query("SELECT app, name FROM django_migrations ORDER BY app, name")],
    }


def differences(before: dict[str, Any], after: dict[str, Any]) -> list[str]:
    """Return where two databases differ, such as "rows of orders_invoice: 12, now 11"."""
    found = []
    for part, wanted in before.items():
        if isinstance(wanted, dict):
            names = sorted({*wanted, *after[part]})
            found += [
                f"{part} of {name}: {wanted.get(name)}, now {after[part].get(name)}"
                for name in names
                if wanted.get(name) != after[part].get(name)
            ]
        elif wanted != after[part]:
            found.append(f"{part} differ")
    return found


def _one(query: Query, statement: str) -> int:
    return int(next(iter(query(statement)))[0])
