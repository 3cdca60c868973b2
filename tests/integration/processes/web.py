"""A web server's process: prints how long it waits for the database, in the database's own words."""

import sys
from importlib import import_module

module = import_module(f"config.{sys.argv[1]}")

from django.db import connection

assert module.application is not None
with connection.cursor() as cursor:
    asked = (
        ["PRAGMA busy_timeout"] if connection.vendor == "sqlite" else ["SHOW lock_timeout", "SHOW statement_timeout"]
    )
    for statement in asked:
        cursor.execute(statement)
        sys.stdout.write(f"{cursor.fetchone()[0]}\n")
