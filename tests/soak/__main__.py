"""Proofs under load and faults, with real processes, on SQLite and on PostgreSQL with Redis: ``make soak``.

Proofs run beside each other, because many of them mostly wait: each, or a few one after the other, on a copy of the
migrated database with a broker and processes of its own, so that none can meet another or the tests. ``SHARE=0.1`` does
a tenth of the counts, ``SEED=7`` chooses differently, ``ONLY="approvals crashes"`` makes these proofs alone,
``ON=sqlite`` or ``ON=postgresql`` uses one database, ``JOBS=1`` makes one after the other, ``LOGS=FOLDER`` keeps what
the processes wrote. The promises that were broken are named once more at the end, each in a sentence; then the exit
status is 1.
"""

import os
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor, as_completed
from contextlib import ExitStack, contextmanager
from dataclasses import dataclass, field
from pathlib import Path

from tests.databases import ROOT, RealDatabase
from tests.soak.ends import on_stop
from tests.soak.table import BROKEN, PROOFS, in_processes

#: Proofs beside each other for each core: most of them wait more than they compute.
_FOR_A_CORE = 3


@dataclass
class Jobs:
    """The proofs that run now, each in a process; a stopped soak stops them."""

    folder: Path
    processes: list["subprocess.Popen[str]"] = field(default_factory=list)
    is_stopped: bool = False

    def prove(self, names: list[str], database: RealDatabase) -> str:
        """Make proofs one after the other on a copy of the database, and return what they say."""
        folder = self.folder / f"{'postgresql' if database.postgres else 'sqlite'} {names[0]}"
        folder.mkdir()
        with database.copy(folder) as own:
            settings = {"DJANGO_SETTINGS_MODULE": "tests.soak.settings", "COLDSET_VAR": str(folder)}
            if self.is_stopped:
                return ""
            process = subprocess.Popen(
                [sys.executable, "-m", "tests.soak.run", *names],
                env={**own.environment, **settings},
                cwd=ROOT,
                stdin=subprocess.DEVNULL,
                stdout=subprocess.PIPE,
                text=True,
            )
            self.processes.append(process)
            printed, _ = process.communicate()
        expected = {0: False, 1: True}.get(process.returncode)
        if expected is None or bool(_broken(printed)) != expected:
            printed += f"{BROKEN}{folder.name}: the process of the proofs ended with status {process.returncode}\n"
        return printed

    def stop(self) -> None:
        """End all; each ends what it started."""
        self.is_stopped = True
        for process in self.processes:
            process.terminate()


def main() -> int:
    """Make the proofs that are asked for on the databases that are there, several beside each other."""
    wanted = os.environ.get("ONLY", "").split() or list(PROOFS)
    at_once = int(os.environ.get("JOBS") or (os.cpu_count() or 1) * _FOR_A_CORE)
    started, broken = time.monotonic(), []
    with tempfile.TemporaryDirectory(prefix="soak") as folder, _databases(Path(folder)) as databases:
        jobs = Jobs(Path(folder))
        on_stop(jobs.stop)
        with ThreadPoolExecutor(at_once) as pool:
            lists = _lists(wanted, databases)
            jobs_made = [pool.submit(jobs.prove, *one) for one in lists]
            for done in as_completed(jobs_made):
                sys.stdout.write(done.result())
                sys.stdout.flush()
                broken += _broken(done.result())
    if not lists or not set(wanted) <= set(PROOFS):
        broken.append(f"{BROKEN}not everything that was asked for could be proved: a name or a server is missing")
    verdict = f"{len(broken)} promises are broken:" if broken else "all promises are kept"
    sys.stdout.write("\n".join([f"soak, {time.monotonic() - started:.0f} s: {verdict}", *broken]) + "\n")
    return 1 if broken or jobs.is_stopped else 0


def _broken(printed: str) -> list[str]:
    return [line for line in printed.splitlines() if line.startswith(BROKEN)]


def _lists(wanted: list[str], databases: list[RealDatabase]) -> list[tuple[list[str], RealDatabase]]:
    """Return what each process proves, and on what, those that take longest first."""
    jobs_made = [(names, database) for database in databases for names in in_processes(wanted, database.postgres)]
    return sorted(jobs_made, key=lambda one: list(PROOFS).index(one[0][0]))


@contextmanager
def _databases(folder: Path) -> Iterator[list[RealDatabase]]:
    """Yield the migrated databases that proofs copy: SQLite, and PostgreSQL where a server is named."""
    wanted = os.environ.get("ON", "sqlite postgresql").split()
    server = os.environ.pop("COLDSET_DATABASE_URL", "")
    os.environ.pop("COLDSET_BROKER_URL", "")  # each proof has a broker of its own
    with ExitStack() as open_databases:
        made = []
        if "sqlite" in wanted:
            made.append(open_databases.enter_context(RealDatabase.migrated(folder / "soak.sqlite3")))
        if "postgresql" in wanted and server:
            os.environ["COLDSET_DATABASE_URL"] = server
            made.append(open_databases.enter_context(RealDatabase.migrated(folder)))
        yield made


if __name__ == "__main__":
    sys.exit(main())
