"""Change the money modules one small step at a time and tell which changes no test notices.

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
        self.run("manage.py", "migrate", "--verbosity=0")

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

    def prepare(self, modules: Sequence[str], tests: Sequence[str]) -> None:
        """Write the modules plainly and tell mutmut about them."""
        for module in modules:
            path = self.clone / module
            path.write_text(without_decorators(path.read_text(encoding="utf-8")), encoding="utf-8")
        with (self.clone / "pyproject.toml").open("a", encoding="utf-8") as file:
            file.write(CONFIG.format(modules=json.dumps(modules), tests=json.dumps(tests), pytest=json.dumps(PYTEST)))


def main(wanted: Sequence[str]) -> int:
    """Try the modules and tell what survived."""
    plan = _read("modules.toml")
    modules = [module for module in plan["modules"] if not wanted or module in wanted]
    if len(modules) < len(wanted):
        raise SystemExit(f"modules.toml has only: {' '.join(plan['modules'])}")
    known = {(row["old"], row["new"]) for row in _read("known.toml")["known"]}
    jobs = os.environ.get("JOBS") or str(os.cpu_count() or 1)
    started = time.monotonic()
    with tempfile.TemporaryDirectory() as folder:
        copy = Copy(Path(folder))
        copy.prepare(modules, plan["tests"])
        copy.run("-m", "mutmut", "run", "--max-children", jobs)
        found = json.loads(copy.run("-m", "tests.mutants.looked_at", *modules))
    lines, left = _told(found, known)
    sys.stdout.write("\n".join([*lines, f"in {(time.monotonic() - started) / 60:.0f} minutes"]) + "\n")
    return 1 if left else 0


def _read(name: str) -> dict[str, Any]:
    return tomllib.loads((HERE / name).read_text(encoding="utf-8"))


def _told(found: dict[str, Any], known: set[tuple[str, str]]) -> tuple[list[str], int]:
    """Write what came out, and count what survived and is not known."""
    lines, sums = [], {"changes": 0, "idle": 0, "survivors": 0, "left": 0}
    for module, one in found.items():
        left = [row for row in one["survivors"] if not _guards(row) and (row["old"], row["new"]) not in known]
        here = {"changes": one["changes"], "idle": one["idle"], "survivors": len(one["survivors"]), "left": len(left)}
        sums = {name: count + here[name] for name, count in sums.items()}
        lines.append(f"{module}: {_noticed(here)}")
        if one["idle"]:
            lines.append(f"  {one['idle']} in functions none of the tests runs: {', '.join(one['idle_functions'])}")
        lines += [f"  {row['function']}\n    - {row['old']}\n    + {row['new']}" for row in left]
    return [*lines, f"in all: {_noticed(sums)}"], sums["left"] + sums["idle"]


def _noticed(counts: dict[str, int]) -> str:
    noticed = counts["changes"] - counts["idle"] - counts["survivors"]
    known = counts["survivors"] - counts["left"]
    return f"{noticed} of {counts['changes']} changes noticed, {known} known to survive, {counts['left']} survived"


def _guards(row: dict[str, str]) -> bool:
    """Tell whether a change only took a guard away."""
    return GUARD.sub("", row["old"]) == GUARD.sub("", row["new"])


if __name__ == "__main__":
    raise SystemExit(main(sys.argv[1:]))
