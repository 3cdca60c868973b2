"""`manage.py plan`: reads scenarios, prints the answers to their questions, one line for each scenario."""

from __future__ import annotations

import json
import sys
from argparse import ArgumentParser
from functools import partial
from typing import Any

from django.core.management.base import BaseCommand

from catalog.management.documents import answered
from costing.contract import InputErrors
from costing.plan.cases import scenario_answers


class Command(BaseCommand):
    """Print answers as JSON Lines; on any error print all errors and no answer, and exit 2."""

    help = (
        "Answers whether a kitchen can make an inquiry beside what it has promised, when it is ready at the earliest"
        " and when work begins at the latest. Prints one line per scenario. When anything is wrong with any scenario,"
        " it prints every error on standard error and no answer, and exits 2. Needs no database."
    )
    requires_system_checks: list[str] = []  # nothing here needs a database or a kitchen's settings

    def add_arguments(self, parser: ArgumentParser) -> None:
        """Declare the command's arguments."""
        parser.add_argument("scenarios", nargs="+", metavar="SCENARIO.json", help="a scenario; - for standard input")
        parser.add_argument(
            "--witness",
            action="store_true",
            help="print the plan beside each yes and each time: begin of each step, and the end of the last",
        )

    def handle(self, *args: Any, **options: Any) -> None:
        """Print the answers, or the errors."""
        try:
            wanted = partial(scenario_answers, plans=options["witness"])
            answers = answered(options["scenarios"], "scenario", wanted)
        except InputErrors as found:
            self.stderr.write(json.dumps(found.as_json()), style_func=str)  # no colours inside JSON
            sys.exit(2)
        for answer in answers:
            self.stdout.write(json.dumps(answer))
