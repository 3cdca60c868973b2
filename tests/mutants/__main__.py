"""Change the money modules in small ways and report which changes no test detects.

Run by ``make mutants``, or for some modules by ``make mutants MODULES="costing/money.py"``; JOBS=4 uses four processes.
Which modules, and which tests have to notice, stands in ``modules.toml``; changes that are known to survive stand in
``known.toml`` with the reason. mutmut makes the changes, in a copy of the clone that is thrown away. Ends with an error
when a change survived that is not in that list.
"""

import json
import os
import re
import shutil
import subprocess
import sys
import tempfile
import time
import tomllib
from collections import Counter
from collections.abc import Sequence
from pathlib import Path
from typing import Any

from tests.mutants.plain import without_decorators

HERE = Path(__file__).parent
ROOT = HERE.parent.parent
NOT_COPIED = shutil.ignore_patterns(".git", ".venv", "var", "__pycache__", ".*_cache", ".hypothesis", ".coverage")
PYTEST = ["-q", "--no-header", "--hypothesis-seed=0", "-p", "tests.mutants.database"]
CONFIG = """
[tool.mutmut]
source_paths = ["orders", "catalog", "costing", "config"]
only_mutate = {modules}
also_copy = ["templates", "manage.py"]
pytest_add_cli_args = {pytest}
pytest_add_cli_args_test_selection = {tests}
"""
#: Only guards against later mistakes in the code.
GUARD = re.compile(r",?\s*\bstrict=\w+|,\s*(?=\))")


class Copy:
    """A copy of the clone in which modules are changed."""

    def __init__(self, folder: Path) -> None:
        self.clone, migrated = folder / "clone", folder / "migrated.sqlite3"
        shutil.copytree(ROOT, self.clone, ignore=NOT_COPIED)
        self.environment = os.environ | {
            "DJANGO_SETTINGS_MODULE": "tests.settings",
            "COLDSET_DB": str(migrated),
            "COLDSET_MIGRATED": str(migrated),
            "TMPDIR": str(folder),
        }
        self.settings = (self.clone / "pyproject.toml").read_text(encoding="utf-8")
        self.run("manage.py", "migrate", "--verbosity=0")

    def tried(self, modules: Sequence[str], tests: Sequence[str], jobs: str) -> dict[str, Any]:
        """Run mutmut on the modules; return the results by module."""
        shutil.rmtree(self.clone / "mutants", ignore_errors=True)
        for module in modules:
            path = self.clone / module
            path.write_text(without_decorators(path.read_text(encoding="utf-8")), encoding="utf-8")
        more = CONFIG.format(modules=json.dumps(modules), tests=json.dumps(tests), pytest=json.dumps(PYTEST))
        (self.clone / "pyproject.toml").write_text(self.settings + more, encoding="utf-8")
        self.run("-m", "mutmut", "run", "--max-children", jobs)
        return dict(json.loads(self.run("-m", "tests.mutants.looked_at", *modules)))

    def run(self, *command: str) -> str:
        """Run Python in the copy and return what it printed."""
        done = subprocess.run(
            [sys.executable, *command],
            cwd=self.clone,
            env=self.environment,
            capture_output=True,
            text=True,
            check=False,
        )
        if done.returncode:
            raise SystemExit(f"{' '.join(command)} failed:\n{done.stdout[-4000:]}\n{done.stderr[-4000:]}")
        return done.stdout


def main(wanted: Sequence[str]) -> int:
    """Run the modules, those of one group together, and report the survivors."""
    groups = _groups(wanted)
    known = {(row["old"], row["new"]) for row in _read("known.toml")["known"]}
    jobs = os.environ.get("JOBS") or str(os.cpu_count() or 1)
    started, sums = time.monotonic(), Counter[str]()
    with tempfile.TemporaryDirectory() as folder:
        copy = Copy(Path(folder))
        for modules, tests in groups:
            for module, one in copy.tried(modules, tests, jobs).items():
                sums += _report(module, one, known)
    _say(f"in all: {_noticed(sums)}; {(time.monotonic() - started) / 60:.0f} minutes")
    return 1 if sums["left"] + sums["idle"] else 0


def _groups(wanted: Sequence[str]) -> list[tuple[list[str], list[str]]]:
    groups = _read("modules.toml")["group"]
    every = [module for group in groups for module in group["modules"]]
    named = [*every, *(test.partition("::")[0] for group in groups for test in group["tests"])]
    if missing := [name for name in named if not (ROOT / name).exists()]:
        raise SystemExit(f"modules.toml names what is not there: {' '.join(missing)}")
    if not set(wanted) <= set(every):
        raise SystemExit(f"modules.toml has only: {' '.join(every)}")
    chosen = [([name for name in group["modules"] if not wanted or name in wanted], group["tests"]) for group in groups]
    return [(modules, tests) for modules, tests in chosen if modules]


def _read(name: str) -> dict[str, Any]:
    return tomllib.loads((HERE / name).read_text(encoding="utf-8"))


def _report(module: str, one: dict[str, Any], known: set[tuple[str, str]]) -> Counter[str]:
    """Print the result of a module, and count it."""
    left = [row for row in one["survivors"] if not _guards(row) and (row["old"], row["new"]) not in known]
    counts = Counter(changes=one["changes"], idle=one["idle"], survivors=len(one["survivors"]), left=len(left))
    _say(f"{module}: {_noticed(counts)}")
    if one["idle"]:
        _say(f"  {one['idle']} in functions none of the tests runs: {', '.join(one['idle_functions'])}")
    for row in left:
        _say(f"  {row['function']}\n    - {row['old']}\n    + {row['new']}")
    return counts


def _noticed(counts: Counter[str]) -> str:
    noticed = counts["changes"] - counts["idle"] - counts["survivors"]
    known = counts["survivors"] - counts["left"]
    return f"{noticed} of {counts['changes']} changes noticed, {known} known to survive, {counts['left']} survived"


def _guards(row: dict[str, str]) -> bool:
    """Return whether a change only removed a guard."""
    return GUARD.sub("", row["old"]) == GUARD.sub("", row["new"])


def _say(text: str) -> None:
    sys.stdout.write(f"{text}\n")
    sys.stdout.flush()


if __name__ == "__main__":
    raise SystemExit(main(sys.argv[1:]))
