"""Runs the bench of the services: on SQLite, then on PostgreSQL where ``COLDSET_DATABASE_URL`` names an empty one.

``make bench-services`` starts that server. Ten years of one kitchen: 100,000 orders, 300,000 documents, two million
lines. Every ratio compares two figures of the same run on the same database.
"""

from __future__ import annotations

import os
import subprocess
import sys
import tempfile
from pathlib import Path


def main() -> None:
    """Start a process for each database."""
    with tempfile.TemporaryDirectory() as folder:
        places = [{"COLDSET_DB": str(Path(folder) / "bench.sqlite3")}]
        address = os.environ.pop("COLDSET_DATABASE_URL", "")
        if address:
            places.append({"COLDSET_DATABASE_URL": address})
        for place in places:
            settings = {"DJANGO_SETTINGS_MODULE": "tests.settings", "COLDSET_LOG_LEVEL": "ERROR", **place}
            # Work that nobody does here must not be sent to a broker either.
            base = {name: value for name, value in os.environ.items() if name != "COLDSET_BROKER_URL"}
            command = [sys.executable, "-m", "tests.bench.services.run"]
            subprocess.run(command, env={**base, **settings}, check=True)


if __name__ == "__main__":
    main()
