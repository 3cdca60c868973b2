"""Fills the database that the environment names, a little and then in full, and measures both."""

from __future__ import annotations

import sys
import time

#: Closed orders: three documents each.
FEW, MANY = 333, 100_000


def main() -> None:
    """Print the table and the lines below it."""
    import django

    django.setup()
    from django.db import connection

    from tests.bench.services.approvals import approval_ms, approvals_taken
    from tests.bench.services.csv_file import csv_taken
    from tests.bench.services.exports import export_taken
    from tests.bench.services.fill import counts, kitchen_fill, orders_fill
    from tests.bench.services.outlook import outlook
    from tests.bench.services.pages import buttons_taken, owner, pages_taken

    kitchen_fill()
    orders_fill(FEW)
    client, small = owner(), counts()
    few = {**pages_taken(client), **buttons_taken()}
    begun = time.monotonic()
    orders_fill(MANY)
    large, filled = counts(), time.monotonic() - begun
    pages, buttons = pages_taken(client), buttons_taken()
    many = {**pages, **buttons}
    _say(
        f"== {connection.vendor}: " + ", ".join(f"{number:,} {name}" for name, number in large.items()),
        f"filled in {filled:.0f} s; the small one has {small['documents']:,} documents",
        f"{'CPU time, median':28}{'small':>10}{'large':>12}{'ratio':>8}",
        *(f"{name:28}{few[name]:7.1f} ms{many[name]:9.1f} ms{many[name] / few[name]:8.2f}" for name in many),
        *csv_taken(),
        *export_taken(),
    )
    _say(*(approvals_taken() if connection.vendor == "postgresql" else ()))
    _say(*outlook(pages, buttons, approval_ms(), large["orders"]))


def _say(*lines: str) -> None:
    sys.stdout.write("".join(f"{line}\n" for line in lines))
    sys.stdout.flush()


if __name__ == "__main__":
    main()
