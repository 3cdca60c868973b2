"""The proofs on one database: ``run NAME...``; exits 1 when a promise is broken. Started by :mod:`tests.soak`."""

import os
import random
import signal
import sys
import tempfile
import time
import traceback
from importlib import import_module
from pathlib import Path

import django

django.setup()

from django.db import connection

from tests.factories import kitchen_make, user_make
from tests.soak.context import Outcome, Soak
from tests.soak.service import Service
from tests.soak.table import PROOFS, line


def main(names: list[str]) -> int:
    """Run the proofs, a line each."""
    signal.signal(signal.SIGTERM, lambda *_: sys.exit(143))  # ends the processes it started
    seed = int(os.environ.get("SEED", "1"))
    kitchen_make()
    user = user_make()
    broken = 0
    with tempfile.TemporaryDirectory(prefix="soak") as folder:
        service = Service(Path(folder), os.environ.get("COLDSET_BROKER_URL", ""), seed)
        soak = Soak(float(os.environ.get("SHARE", "1")), random.Random(seed), service, user, connection.vendor)
        try:
            service.start_mail()
            service.start_outbox()
            for name in names or PROOFS:
                broken += _proof(name, soak)
        finally:
            service.end()
            _keep_logs(Path(folder))
    return 1 if broken else 0


def _proof(name: str, soak: Soak) -> bool:
    started = time.monotonic()
    try:
        found: Outcome = import_module(f"tests.soak.{name}").prove(soak)
    except Exception as error:  # the other proofs go on
        traceback.print_exc()
        found = Outcome(broken=[f"the proof could not be made: {error}"])
    sys.stdout.write(line(soak.vendor, PROOFS[name], found, time.monotonic() - started))
    sys.stdout.flush()
    return bool(found.broken)


def _keep_logs(folder: Path) -> None:
    """Copy the processes' logs where ``LOGS`` says."""
    target = os.environ.get("LOGS", "")
    for file in folder.glob("*.log") if target else ():
        (Path(target) / f"{connection.vendor}-{file.name}").write_bytes(file.read_bytes())


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
