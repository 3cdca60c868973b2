"""`manage.py plan`: answers the questions of scenarios, or prints the kitchen's own plan."""

from __future__ import annotations

import json
import sys
from argparse import ArgumentParser, ArgumentTypeError
from datetime import date, timedelta
from functools import partial
from typing import Any

from django.core.management.base import BaseCommand, CommandError
from django.utils import timezone

from catalog.management.documents import answered
from catalog.records.errors import CannotPrice
from catalog.records.presenters import sentence
from costing.contract import InputErrors
from costing.plan.cases import scenario_answers
from orders.planning.plans import plan_days
from orders.planning.selectors import kitchen_days
from orders.planning.writing import plan_written

#: So many days are planned where nobody says until when.
DAYS = timedelta(days=14)


class Command(BaseCommand):
    """Print answers as JSON Lines; on any error print all errors and no answer, and exit 2."""

    help = (
        "Answers whether a kitchen can make an inquiry beside what it has promised, when it is ready at the earliest"
        " and when work begins at the latest. Prints one line per scenario. When anything is wrong with any scenario,"
        " it prints every error on standard error and no answer, and exits 2. With --kitchen it reads the database"
        " instead and prints this kitchen's own problem, its plan, loads by day, and what has no place in it."
    )
    requires_system_checks: list[str] = []  # a scenario needs no database and no kitchen's settings

    def add_arguments(self, parser: ArgumentParser) -> None:
        """Declare the command's arguments."""
        parser.add_argument("scenarios", nargs="*", metavar="SCENARIO.json", help="a scenario; - for standard input")
        parser.add_argument(
            "--witness",
            action="store_true",
            help="print the plan beside each yes and each time: begin of each step, and the end of the last",
        )
        parser.add_argument("--kitchen", action="store_true", help="plan this kitchen's own orders")
        parser.add_argument("--since", type=_day, metavar="DAY", help="first day of leaving, such as 2027-02-06; today")
        parser.add_argument("--until", type=_day, metavar="DAY", help="last day of leaving; two weeks after the first")

    def handle(self, *args: Any, **options: Any) -> None:
        """Print the answers, or the errors."""
        if options["kitchen"]:
            self._kitchen(options["since"], options["until"])
            return
        if not options["scenarios"]:
            raise CommandError("Name a scenario's file, or give --kitchen.")
        try:
            wanted = partial(scenario_answers, plans=options["witness"])
            answers = answered(options["scenarios"], "scenario", wanted)
        except InputErrors as found:
            self.stderr.write(json.dumps(found.as_json()), style_func=str)  # no colours inside JSON
            sys.exit(2)
        for answer in answers:
            self.stdout.write(json.dumps(answer))

    def _kitchen(self, since: date | None, until: date | None) -> None:
        first = since or timezone.localdate()
        last = until or first + DAYS
        if last < first:
            raise CommandError("--until is before --since. Give a later day.")
        try:
            found = plan_days(kitchen_days(first, last), now=timezone.now())
        except CannotPrice as error:
            raise CommandError(sentence(error)) from error
        self.stdout.write(json.dumps(plan_written(found)))


def _day(text: str) -> date:
    try:
        return date.fromisoformat(text)
    except ValueError:
        raise ArgumentTypeError(f"“{text}” is no day. Write one such as 2027-02-06.") from None
