"""`manage.py cooling`: reads cooling cases, prints one result per line."""

from __future__ import annotations

import json
import sys
from argparse import ArgumentParser
from typing import Any

from django.core.management.base import BaseCommand

from catalog.cooling.json_presenters import products_to_json
from catalog.management.documents import answered
from costing.chilling import case_answers
from costing.contract import CostingError, InputErrors


class Command(BaseCommand):
    """Print results as JSON Lines; on any error print all errors and no result, and exit 2."""

    help = (
        "Estimates how a dessert, or a batch in its pans or pots, cools and warms: times to 135, 70 and 41 °F at its"
        " centre and its warmest point, and how long it stays cold out of the refrigerator. Prints one answer per case"
        " and line. When anything is wrong with any case, it prints every error on standard error and no answer, and"
        " exits 2. An estimate does not replace a probe thermometer or the local food code."
    )
    requires_system_checks: list[str] = []  # nothing here needs a database or a kitchen's settings

    def add_arguments(self, parser: ArgumentParser) -> None:
        """Declare the command's arguments."""
        parser.add_argument("cases", nargs="*", metavar="CASE.json", help="what cools; - for standard input")
        parser.add_argument(
            "--product",
            action="append",
            default=[],
            metavar="CODE",
            help="one of the kitchen's own products: prints its case, times with their range, and the rule's verdict",
        )

    def handle(self, *args: Any, **options: Any) -> None:
        """Print the results, or the errors."""
        try:
            answers = _wanted(options["cases"], options["product"])
        except InputErrors as found:
            self.stderr.write(json.dumps(found.as_json()), style_func=str)  # no colours inside JSON
            sys.exit(2)
        for answer in answers:
            self.stdout.write(json.dumps(answer))


def _wanted(paths: list[str], products: list[str]) -> list[dict[str, Any]]:
    if products and paths:
        message = "Cases and the kitchen's products are asked for apart. Leave out the files or --product."
        raise InputErrors([CostingError("schema", "case#", message)])
    if products:
        return products_to_json(products)
    if not paths:
        raise InputErrors([CostingError("schema", "case#", "Name a file with a case, or --product with its code.")])
    return answered(paths, "case", case_answers)
