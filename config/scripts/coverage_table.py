"""Prints the branch and line coverage of ``costing`` and ``orders``; run it after ``pytest --cov``.

One row for each file, the worst first, then one for each package. Exits 1 when less of a file that handles money is
covered than has to be, and when a file named here is not there.
"""

import json
import sys
import tempfile
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Final

from coverage import Coverage

ROOT: Final = Path(__file__).parents[2]
#: Files that compute money, write it on documents, or export it.
MONEY: Final = (
    "costing/money/allocation.py",
    "costing/money/rounding.py",
    "costing/pricing/prices.py",
    "costing/pricing/totals.py",
    "orders/invoices/content.py",
    "orders/invoices/credit_notes.py",
    "orders/invoices/schedule.py",
    "orders/invoices/forms.py",
    "orders/invoices/order_money.py",
    "orders/invoices/payment_views.py",
    "orders/invoices/payments.py",
    "orders/invoices/receivables.py",
    "orders/invoices/selectors.py",
    "orders/invoices/services.py",
    "orders/invoices/totals.py",
    "orders/invoices/views.py",
    "orders/quotes/send/content.py",
    "orders/records/money.py",
    "orders/register/file_content.py",
    "orders/register/rows.py",
    "orders/register/selectors.py",
    "orders/register/services.py",
)
#: NOT YET THERE. Write the tests, then delete the file's line here.
SHORT: Final[frozenset[str]] = frozenset()
#: Required coverage of branches and of lines [%].
LEAST: Final = 95.0
HEADING: Final = f"{'branch %':>9} {'branches':>9} {'line %':>7} {'lines':>7}  file, and what does not run"


@dataclass(frozen=True)
class Run:
    """Coverage of a file or a package, and what is not covered."""

    name: str
    branches: int
    branches_run: int
    lines: int
    lines_run: int
    missing: str = ""

    @property
    def percent(self) -> tuple[float, float]:
        """Return the coverage of branches and of lines [%]; 100 if there are none."""
        return _percent(self.branches_run, self.branches), _percent(self.lines_run, self.lines)

    def row(self) -> str:
        """Write it as a row of the table."""
        branches, lines = self.percent
        return f"{branches:9.1f} {self.branches:9} {lines:7.1f} {self.lines:7}  {self.name}  {self.missing}".rstrip()


def main() -> int:
    """Print the table, then the money files with too little coverage."""
    files = sorted((_file(*entry) for entry in _report().items()), key=lambda run: (*run.percent, run.name))
    packages = sorted({run.name.partition("/")[0] for run in files})
    known = {run.name: run for run in files}
    rows = [HEADING, *(run.row() for run in files), ""]
    rows += [_together(f"{name}/", files).row() for name in packages]
    low = [name for name in MONEY if name not in known or min(known[name].percent) < LEAST]
    if low:
        rows += ["", f"Where money is handled at least {LEAST:.0f} % of branches and of lines have to run:"]
        rows += [known[name].row() if name in known else f"{name} is not there: mend the list" for name in low]
    rows += [f"{name} is there now: take it off the list SHORT" for name in sorted(SHORT.difference(low))]
    sys.stdout.write("\n".join(rows) + "\n")
    return int(bool(set(low) - SHORT))


def _report() -> dict[str, Any]:
    """Return coverage's own report, by file."""
    coverage = Coverage()
    coverage.load()
    with tempfile.TemporaryDirectory() as folder:
        file = Path(folder) / "coverage.json"
        coverage.json_report(outfile=str(file))
        return dict(json.loads(file.read_text())["files"])


def _file(name: str, summary: dict[str, Any]) -> Run:
    numbers = summary["summary"]
    missing = [str(line) for line in summary["missing_lines"]]
    gone = set(summary["missing_lines"])
    # A branch from or to a line that is not covered adds no information.
    missing += [
        f"{at}->{'exit' if to < 0 else to}"
        for at, to in summary["missing_branches"]
        if at not in gone and to not in gone
    ]
    return Run(
        name,
        numbers["num_branches"],
        numbers["covered_branches"],
        numbers["num_statements"],
        numbers["covered_lines"],
        " ".join(missing),
    )


def _together(start: str, files: list[Run]) -> Run:
    found = [run for run in files if run.name.startswith(start)]
    return Run(
        start,
        sum(run.branches for run in found),
        sum(run.branches_run for run in found),
        sum(run.lines for run in found),
        sum(run.lines_run for run in found),
    )


def _percent(part: int, whole: int) -> float:
    return 100.0 * part / whole if whole else 100.0


if __name__ == "__main__":
    sys.exit(main())
