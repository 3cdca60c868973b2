"""An order of 40 lines against what the owner would use instead: the same kitchen in a spreadsheet.

Both are whole processes: LibreOffice recalculates every sheet and writes the file (less what it takes for an empty
document), and `manage.py estimate` reads Book and Brief and prints the Estimate. Both totals must be the same to the
cent. Run by ``make bench``; where LibreOffice is not installed it says so.
"""

from __future__ import annotations

import json
import resource
import shutil
import statistics
import subprocess
import sys
import tempfile
from collections.abc import Callable
from decimal import Decimal
from pathlib import Path

from openpyxl import Workbook, load_workbook

from tests.bench.kitchen import forty_lines
from tests.bench.spreadsheet import Sheets, plain_kitchen

RUNS = 3
PRODUCTS = 2000


def child_cpu(work: Callable[[], object]) -> float:
    """Return the CPU time of the processes that some work starts [s]."""
    before = resource.getrusage(resource.RUSAGE_CHILDREN)
    work()
    after = resource.getrusage(resource.RUSAGE_CHILDREN)
    return after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime


def recalculated(office: str, file: Path, folder: Path) -> Path:
    """Let LibreOffice load a spreadsheet, compute all of it and write it again."""
    home = (folder / "profile").as_uri()
    command = [office, f"-env:UserInstallation={home}", "--headless", "--convert-to", "xlsx"]
    subprocess.run([*command, "--outdir", str(folder / "out"), str(file)], check=True, capture_output=True)
    return folder / "out" / file.name


def estimated(folder: Path) -> str:
    """Run the program; return what it prints."""
    command = [sys.executable, "manage.py", "estimate", "--book", str(folder / "book.json"), str(folder / "brief.json")]
    return subprocess.run(command, check=True, capture_output=True, text=True).stdout


def main() -> None:
    """Write the kitchen both ways, compare the totals, measure in turn, print."""
    office = shutil.which("soffice")
    if office is None:
        sys.stdout.write("LibreOffice is not installed here: nothing to compare with.\n")
        return
    document = plain_kitchen(PRODUCTS)
    brief = forty_lines(document)
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        (folder / "book.json").write_text(json.dumps(document))
        (folder / "brief.json").write_text(json.dumps(brief))
        full, empty = folder / "kitchen.xlsx", folder / "empty.xlsx"
        Sheets(document, brief).made().save(full)
        Workbook().save(empty)
        ours = Decimal(json.loads(estimated(folder))["totals"]["total"])
        theirs = Decimal(str(load_workbook(recalculated(office, full, folder), data_only=True)["Totals"]["B8"].value))
        taken = []
        for _ in range(RUNS):
            sheet, nothing = (child_cpu(lambda f=f: recalculated(office, f, folder)) for f in (full, empty))
            taken.append((child_cpu(lambda: estimated(folder)), sheet - nothing, nothing))
    program, spreadsheet, nothing = (statistics.median(column) for column in zip(*taken, strict=True))
    same = "the same" if abs(ours - theirs) <= Decimal("0.01") else "NOT the same"
    sys.stdout.write(
        f"40 lines of {PRODUCTS} products, whole process: {program:.2f} s; a spreadsheet recalculated by LibreOffice, "
        f"less an empty one ({nothing:.2f} s): {spreadsheet:.2f} s; ratio {program / spreadsheet:.2f}\n"
        f"totals {ours} and {theirs}: {same} to the cent\n"
    )


if __name__ == "__main__":
    main()
