"""The CSV file of every document against a bare cursor and `csv.writer`, and the memory it takes."""

from __future__ import annotations

import csv
import os
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from tests.bench.services.clocks import cpu

CHUNK = 2000


def csv_taken() -> list[str]:
    """Measure both in turn, twice, and return the better of each."""
    from django.utils import timezone

    from orders.register.csv_file import csv_pieces
    from orders.register.filters import RegisterFilter, register
    from orders.register.totals import register_totals

    today, everything = timezone.localdate(), RegisterFilter()
    documents = register(everything, today=today)
    bare, ours, grown = [], [], 0.0
    for _ in range(2):
        begun = cpu()
        rows = _bare(documents)
        bare.append(cpu() - begun)
        idle, begun, size = _memory(), cpu(), 0
        totals = register_totals(everything, today=today)
        rates = sorted({(tax.name, tax.rate) for sums in totals for tax in sums.taxes})
        for piece in csv_pieces(documents, rates, standing=True):
            size += len(piece)
            grown = max(grown, _memory() - idle)
        ours.append(cpu() - begun)
    return [
        f"CSV of {rows:,} documents, {size / 2**20:.0f} MiB: {min(ours):.1f} s of CPU; a bare cursor and csv.writer "
        f"{min(bare):.1f} s: {min(ours) / min(bare):.2f} x; {grown:.0f} MiB above idle"
    ]


def _bare(documents: Any) -> int:
    """Write the same rows straight from cursors, as they come: no decimals, no sums, no care for formulas."""
    from orders.register.csv_file import document_columns, tax_columns

    query = document_columns(documents, standing=True).query
    written = 0
    with Path(os.devnull).open("w") as file:
        writer = csv.writer(file)
        for rows in _fetched(*query.sql_with_params()):
            taxes: dict[int, tuple[Any, ...]] = {}
            for chunk in _fetched(*tax_columns([row[0] for row in rows]).query.sql_with_params()):
                for row in chunk:
                    taxes[row[0]] = taxes.get(row[0], ()) + row[3:]
            writer.writerows(row + taxes.get(row[0], ()) for row in rows)
            written += len(rows)
    return written


def _fetched(sql: str, params: Any) -> Iterator[list[Any]]:
    """Run SQL on a cursor of the driver's own; on PostgreSQL one of the server's, as the product does."""
    from django.db import connection

    connection.ensure_connection()
    if connection.vendor == "postgresql":
        with connection.chunked_cursor() as cursor:
            cursor.execute(sql, params)
            while rows := cursor.fetchmany(CHUNK):
                yield rows
        return
    with connection.cursor() as cursor:
        cursor.execute(sql, params)
        while rows := cursor.fetchmany(CHUNK):
            yield rows


def _memory() -> float:
    """Return this process's memory [MiB]."""
    return int(Path("/proc/self/statm").read_text().split()[1]) * os.sysconf("SC_PAGE_SIZE") / 2**20
