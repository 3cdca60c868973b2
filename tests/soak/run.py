"""Proofs on one database: ``run NAME...``; exits 1 when a promise is broken. Started by :mod:`tests.soak`."""

import os
import random
import sys
import tempfile
import time
import traceback
from importlib import import_module
from pathlib import Path

from tests.soak.service import free_port, redis_address
from tests.soak.table import has_broker, line

if has_broker(sys.argv[1:], postgres=bool(os.environ.get("COLDSET_DATABASE_URL"))):
    os.environ["COLDSET_BROKER_URL"] = redis_address(free_port())

import django

django.setup()

from django.db import connection

from tests.factories import kitchen_make, user_make
from tests.soak.context import Outcome, Soak
from tests.soak.ends import on_stop
from tests.soak.service import Service


def main(names: list[str]) -> int:
    """Make the proofs one after the other, and print a block of lines for each."""
    on_stop(lambda: sys.exit(143))  # ends the processes it started
    seed = int(os.environ.get("SEED", "1"))
    kitchen_make()
    user = user_make()
    with tempfile.TemporaryDirectory(prefix="soak") as folder:
        service = Service(Path(folder), os.environ.get("COLDSET_BROKER_URL", ""), seed)
        soak = Soak(float(os.environ.get("SHARE") or 1), random.Random(), service, user, connection.vendor)
        try:
            broken = [_proof(name, soak, seed) for name in names]
        finally:
            service.end()
            _keep_logs(Path(folder), names[0])
    sys.stdout.write(f"{soak.vendor:<10} {' '.join(names)}: {_work():.0f} s of processor\n")
    return 1 if any(broken) else 0


def _proof(name: str, soak: Soak, seed: int) -> bool:
    started = time.monotonic()
    # Its own chance, so that it does the same whether it is made alone or after others.
    soak.chance.seed(f"{seed} {name}")
    try:
        found: Outcome = import_module(f"tests.soak.{name}").prove(soak)
    except Exception as error:  # what was found out so far is lost, but not why
        traceback.print_exc()
        found = Outcome(broken=[f"the proof could not be made: {error}"])
    sys.stdout.write(line(soak.vendor, name, found, time.monotonic() - started))
    return bool(found.broken)


def _work() -> float:
    """Return the seconds of processor that this process and those it started took, without the database's server."""
    times = os.times()
    return times.user + times.system + times.children_user + times.children_system


def _keep_logs(folder: Path, name: str) -> None:
    """Copy the processes' logs where ``LOGS`` says."""
    target = os.environ.get("LOGS", "")
    for file in folder.glob("*.log") if target else ():
        (Path(target) / f"{connection.vendor}-{name}-{file.name}").write_bytes(file.read_bytes())


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
