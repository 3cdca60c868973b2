"""Proofs under load and faults, with real processes, on SQLite and on PostgreSQL with Redis: ``make soak``.

``SHARE=0.1`` does a tenth of the counts, ``SEED=7`` chooses differently, ``ONLY="approvals crashes"`` makes these
proofs alone, ``ON=sqlite`` or ``ON=postgresql`` uses one database, ``LOGS=FOLDER`` keeps what the processes wrote.
Exits 1 when a promise is broken.
"""

import os
import signal
import subprocess
import sys
import tempfile
from pathlib import Path

from tests.databases import ROOT, RealDatabase


def main() -> int:
    """Prove on each database that is there."""
    only = os.environ.get("ONLY", "").split()
    server, broker = os.environ.pop("COLDSET_DATABASE_URL", ""), os.environ.pop("COLDSET_BROKER_URL", "")
    wanted = os.environ.get("ON", "sqlite postgresql").split()
    broken = 0
    with tempfile.TemporaryDirectory(prefix="soak") as folder:
        if "sqlite" in wanted:
            with RealDatabase.migrated(Path(folder) / "soak.sqlite3") as database:
                broken += _prove(database, only, folder)
        if "postgresql" in wanted and server:
            os.environ["COLDSET_DATABASE_URL"] = server
            with RealDatabase.migrated(Path(folder)) as database:
                broken += _prove(database, only, folder, COLDSET_BROKER_URL=broker)
    return 1 if broken else 0


def _prove(database: RealDatabase, only: list[str], folder: str, **more: str) -> int:
    environment = {
        **database.environment,
        "DJANGO_SETTINGS_MODULE": "tests.soak.settings",
        "COLDSET_VAR": folder,
        **more,
    }
    command = [sys.executable, "-m", "tests.soak.run", *only]
    process = subprocess.Popen(command, env=environment, cwd=ROOT)
    signal.signal(signal.SIGTERM, lambda *_: process.terminate())
    return process.wait()


if __name__ == "__main__":
    sys.exit(main())
