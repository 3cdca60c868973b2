"""Runs inside the copy, after mutmut: prints as JSON, by module, how many changes there were and which survived."""

import json
import sys
from pathlib import Path

from mutmut.mutation.diff_apply import get_diff_for_mutant

#: mutmut's exit codes: what no test noticed, and what no test so much as ran.
SURVIVED, NOT_RUN = 0, (5, 33)


def looked_at(module: str) -> dict[str, object]:
    """Return the results of a module."""
    outcomes: dict[str, int | None] = json.loads(Path("mutants", f"{module}.meta").read_text())["exit_code_by_key"]
    if None in outcomes.values():
        raise SystemExit(f"{module}: some changes were not tried")
    names = [name for name, code in outcomes.items() if code == SURVIVED]
    idle = {_function(name) for name, code in outcomes.items() if code in NOT_RUN}
    return {
        "changes": len(outcomes),
        "idle": sum(code in NOT_RUN for code in outcomes.values()),
        "idle_functions": sorted(idle),
        "survivors": [{"function": _function(name), **_lines(get_diff_for_mutant(name))} for name in names],
    }


def _function(name: str) -> str:
    return name.rpartition(".")[2].partition("__mutmut")[0].lstrip("xǁ_").replace("ǁ", ".")


def _lines(diff: str) -> dict[str, str]:
    """Return what went and what came, without the indentation."""

    def signed(sign: str) -> str:
        return " ".join(line[1:].strip() for line in diff.splitlines() if line[:1] == sign and line[:3] != 3 * sign)

    return {"old": signed("-"), "new": signed("+")}


if __name__ == "__main__":
    json.dump({module: looked_at(module) for module in sys.argv[1:]}, sys.stdout)
