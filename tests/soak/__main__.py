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
from contextlib import ExitStack
from pathlib import Path

from tests.databases import ROOT, RealDatabase


def main() -> int:
    """Prove on each database that is there, on both beside each other."""
    only = os.environ.get("ONLY", "").split()
    server, broker = os.environ.pop("COLDSET_DATABASE_URL", ""), os.environ.pop("COLDSET_BROKER_URL", "")
    wanted = os.environ.get("ON", "sqlite postgresql").split()
    processes: list[subprocess.Popen[bytes]] = []
    signal.signal(signal.SIGTERM, lambda *_: [process.terminate() for process in processes])
    with tempfile.TemporaryDirectory(prefix="soak") as folder, ExitStack() as databases:
        if "sqlite" in wanted:
            database = databases.enter_context(RealDatabase.migrated(Path(folder) / "soak.sqlite3"))
            processes.append(_prove(database, only, folder))
        if "postgresql" in wanted and server:
            os.environ["COLDSET_DATABASE_URL"] = server
            database = databases.enter_context(RealDatabase.migrated(Path(folder)))
            processes.append(_prove(database, only, folder, COLDSET_BROKER_URL=broker))
        broken = [process.wait() for process in processes]
    return 1 if any(broken) else 0


def _prove(database: RealDatabase, only: list[str], folder: str, **more: str) -> subprocess.Popen[bytes]:
    settings = {"DJANGO_SETTINGS_MODULE": "tests.soak.settings", "COLDSET_VAR": folder}
    environment = {**database.environment, **settings, **more}
    return subprocess.Popen([sys.executable, "-m", "tests.soak.run", *only], env=environment, cwd=ROOT)


if __name__ == "__main__":
    sys.exit(main())
