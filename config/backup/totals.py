"""What a database holds: rows, money and document numbers added up, and by name what lost its hash.

A backup writes them down from its snapshot; a restore counts again and refuses a difference.
"""

from collections.abc import Iterable
from typing import Any, Final

from config.backup.damage import Hashes, Query, damaged

#: Not backed up: signed-in browsers (after a restore everybody signs in again), and files that were made on request.
WITHOUT_ROWS: Final = ("config_browsersession", "orders_preparedpart", "orders_preparedfile")

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


def totals_of(query: Query, tables: Iterable[str], hashes: Hashes) -> dict[str, Any]:
    """Return what a database holds, as values of JSON."""
    tables = sorted(tables)
    return {
        "rows": {table: _one(query, f'SELECT COUNT(*) FROM "{table}"') for table in tables},  # noqa: S608
        "money": {
            name: {currency: int(total) for currency, total in query(f"{statement} ORDER BY currency")}
            for name, statement in _MONEY.items()
        },
        "numbers": {
            code: int(last) for code, last in query("SELECT code, last FROM orders_numberseries ORDER BY code")
        },
        "damaged": damaged(query, tables, hashes),
        "migrations": [list(row) for row in query("SELECT app, name FROM django_migrations ORDER BY app, name")],
    }


def differences(before: dict[str, Any], after: dict[str, Any]) -> list[str]:
    """Return where two databases differ, such as "rows of orders_invoice: 12, now 11"."""
    found = []
    for part, wanted in before.items():
        if part == "damaged":
            found += _newly_damaged(wanted, after[part])
        elif isinstance(wanted, dict):
            names = sorted({*wanted, *after[part]})
            found += [
                f"{part} of {name}: {wanted.get(name)}, now {after[part].get(name)}"
                for name in names
                if wanted.get(name) != after[part].get(name)
            ]
        elif wanted != after[part]:
            found.append(f"{part} differ")
    return found


def _newly_damaged(before: dict[str, Any], after: dict[str, list[str]]) -> list[str]:
    """Return what is damaged only since, by name. An earlier version counted, and did not look at invoices."""
    found = []
    for kind, names in after.items():
        known = before.get(kind, names)
        new = names[known:] if isinstance(known, int) else [name for name in names if name not in known]
        found += [f"the hash of {name} does not fit" for name in new]
    return found


def _one(query: Query, statement: str) -> int:
    return int(next(iter(query(statement)))[0])
