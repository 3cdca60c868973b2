"""Runs inside the copy, after mutmut: prints as JSON, by module, how many mutants there were and which survived."""

import json
import sys
from pathlib import Path

from mutmut.mutation.diff_apply import get_diff_for_mutant

#: Exit codes that mutmut stores: every test passed; no test reaches the function.
SURVIVED, NOT_REACHED = 0, (5, 33)


def results_of(module: str) -> dict[str, object]:
    """Return the results of a module."""
    codes: dict[str, int | None] = json.loads(Path("mutants", f"{module}.meta").read_text())["exit_code_by_key"]
    if None in codes.values():
        raise SystemExit(f"{module}: some mutants were not tested")
    survivors = [name for name, code in codes.items() if code == SURVIVED]
    not_reached = [name for name, code in codes.items() if code in NOT_REACHED]
    return {
        "mutants": len(codes),
        "not_reached": len(not_reached),
        "functions_not_reached": sorted({_function(name) for name in not_reached}),
        "survivors": [{"function": _function(name), **_changed_lines(get_diff_for_mutant(name))} for name in survivors],
    }


def _function(name: str) -> str:
    return name.rpartition(".")[2].partition("__mutmut")[0].lstrip("xǁ_").replace("ǁ", ".")


def _changed_lines(diff: str) -> dict[str, str]:
    """Return the lines of a diff that were removed and added, without their indentation."""

    def with_sign(sign: str) -> str:
        return " ".join(line[1:].strip() for line in diff.splitlines() if line[:1] == sign and line[:3] != 3 * sign)

    return {"old": with_sign("-"), "new": with_sign("+")}


if __name__ == "__main__":
    json.dump({module: results_of(module) for module in sys.argv[1:]}, sys.stdout)
