"""Mutation testing: changes the money modules one small step at a time and reports the changes that no test notices.

Run by ``make mutants``, or for some modules or folders by ``make mutants MODULES="costing/money"``; JOBS=4 uses four
processes. ``modules.toml`` names the modules, and the tests that have to notice; ``known.toml`` lists the mutants that
are known to survive, with the reason. mutmut makes the mutants, in a temporary copy of the project. Exits 1 when a
mutant survived that is not listed there, when no test reaches a mutant, and when the list is out of date.
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

from tests.mutants.decorators import without_decorators

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
#: ``strict=`` of zip, and a comma before a closing bracket: a mutant that differs in these alone computes the same.
NO_DIFFERENCE = re.compile(r",?\s*\bstrict=\w+|,\s*(?=\))")

Mutant = tuple[str, str]


class ProjectCopy:
    """A copy of the project in which modules are mutated."""

    def __init__(self, folder: Path) -> None:
        self.root, migrated = folder / "project", folder / "migrated.sqlite3"
        shutil.copytree(ROOT, self.root, ignore=NOT_COPIED)
        self.environment = os.environ | {
            "DJANGO_SETTINGS_MODULE": "tests.settings",
            "COLDSET_DB": str(migrated),
            "COLDSET_MIGRATED": str(migrated),
            "TMPDIR": str(folder),
        }
        self.settings = (self.root / "pyproject.toml").read_text(encoding="utf-8")
        self.run("manage.py", "migrate", "--verbosity=0")

    def mutate(self, modules: Sequence[str], tests: Sequence[str], jobs: str) -> dict[str, Any]:
        """Let mutmut mutate the modules and run the tests; return the results by module."""
        shutil.rmtree(self.root / "mutants", ignore_errors=True)
        for module in modules:
            path = self.root / module
            path.write_text(without_decorators(path.read_text(encoding="utf-8")), encoding="utf-8")
        more = CONFIG.format(modules=json.dumps(modules), tests=json.dumps(tests), pytest=json.dumps(PYTEST))
        (self.root / "pyproject.toml").write_text(self.settings + more, encoding="utf-8")
        self.run("-m", "mutmut", "run", "--max-children", jobs)
        return dict(json.loads(self.run("-m", "tests.mutants.results", *modules)))

    def run(self, *command: str) -> str:
        """Run Python in the copy and return what it printed."""
        done = subprocess.run(
            [sys.executable, *command],
            cwd=self.root,
            env=self.environment,
            capture_output=True,
            text=True,
            check=False,
        )
        if done.returncode:
            raise SystemExit(f"{' '.join(command)} failed:\n{done.stdout[-4000:]}\n{done.stderr[-4000:]}")
        return done.stdout


def main(wanted: Sequence[str]) -> int:
    """Mutate the modules group by group and report what survived."""
    groups = _groups(wanted)
    known = _known(groups)
    jobs = os.environ.get("JOBS") or str(os.cpu_count() or 1)
    started, sums = time.monotonic(), Counter[str]()
    survived: set[Mutant] = set()
    with tempfile.TemporaryDirectory() as folder:
        copy = ProjectCopy(Path(folder))
        for modules, tests in groups:
            for module, results in copy.mutate(modules, tests, jobs).items():
                sums += _report(module, results, known)
                survived |= {(row["old"], row["new"]) for row in results["survivors"]}
    _print(f"all modules: {_summary(sums)}; {(time.monotonic() - started) / 60:.0f} minutes")
    return int(bool(sums["new"] + sums["not_reached"] + _report_killed(known - survived)))


def _groups(wanted: Sequence[str]) -> list[tuple[list[str], list[str]]]:
    """Read ``modules.toml``: the modules of each group that are wanted, by name or by folder, and the group's tests."""
    groups = _read("modules.toml")["group"]
    modules = [module for group in groups for module in group["modules"]]
    named = [*modules, *(test.partition("::")[0] for group in groups for test in group["tests"])]
    if missing := [name for name in named if not (ROOT / name).exists()]:
        raise SystemExit(f"modules.toml names what is not there: {' '.join(missing)}")
    if unknown := [name for name in wanted if not any(_in(module, name) for module in modules)]:
        raise SystemExit(f"Not in modules.toml: {' '.join(unknown)}. It has: {' '.join(modules)}")
    chosen = [
        ([module for module in group["modules"] if not wanted or any(_in(module, name) for name in wanted)], group)
        for group in groups
    ]
    return [(modules, group["tests"]) for modules, group in chosen if modules]


def _in(module: str, name: str) -> bool:
    """Tell whether a module is the one named, or is in the folder named."""
    return f"{module}/".startswith(f"{name.rstrip('/')}/")


def _known(groups: Sequence[tuple[list[str], list[str]]]) -> set[Mutant]:
    """Read what ``known.toml`` lists of the groups' modules; an entry that fits no module of the list is an error."""
    rows = _read("known.toml")["known"]
    every = [module for group in _read("modules.toml")["group"] for module in group["modules"]]
    code = _texts(every)
    if stale := [row["old"] for row in rows if _one_line(row["old"]) not in code]:
        raise SystemExit("known.toml has entries whose code is gone:\n" + "\n".join(stale))
    here = _texts([module for modules, _ in groups for module in modules])
    return {(row["old"], row["new"]) for row in rows if _one_line(row["old"]) in here}


def _texts(modules: Sequence[str]) -> str:
    """Return the code of modules as one line."""
    return _one_line(" ".join((ROOT / module).read_text(encoding="utf-8") for module in modules))


def _one_line(code: str) -> str:
    """Write each run of white space as one space."""
    return " ".join(code.split())


def _read(name: str) -> dict[str, Any]:
    return tomllib.loads((HERE / name).read_text(encoding="utf-8"))


def _report(module: str, results: dict[str, Any], known: set[Mutant]) -> Counter[str]:
    """Print the results of a module, and count them."""
    survivors = [row for row in results["survivors"] if not _computes_the_same(row)]
    new = [row for row in survivors if (row["old"], row["new"]) not in known]
    counts = Counter(
        mutants=results["mutants"],
        not_reached=results["not_reached"],
        survivors=len(results["survivors"]),
        new=len(new),
    )
    _print(f"{module}: {_summary(counts)}")
    if results["not_reached"]:
        _print(f"  {results['not_reached']} that no test reaches, in: {', '.join(results['functions_not_reached'])}")
    for row in new:
        _print(f"  {row['function']}\n    - {row['old']}\n    + {row['new']}")
    return counts


def _report_killed(killed: set[Mutant]) -> int:
    """Print the entries of ``known.toml`` that did not survive, and count them."""
    for old, new in sorted(killed):
        _print(f"known.toml lists what a test notices now:\n    - {old}\n    + {new}")
    return len(killed)


def _summary(counts: Counter[str]) -> str:
    killed = counts["mutants"] - counts["not_reached"] - counts["survivors"]
    known = counts["survivors"] - counts["new"]
    return f"{killed} of {counts['mutants']} mutants killed, {known} known to survive, {counts['new']} survived"


def _computes_the_same(row: dict[str, str]) -> bool:
    """Tell whether a mutant only lacks a safeguard against later mistakes, or only a comma."""
    return NO_DIFFERENCE.sub("", row["old"]) == NO_DIFFERENCE.sub("", row["new"])


def _print(text: str) -> None:
    sys.stdout.write(f"{text}\n")
    sys.stdout.flush()


if __name__ == "__main__":
    raise SystemExit(main(sys.argv[1:]))
