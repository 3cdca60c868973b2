"""Documents that mean harm, given to what the commands book, estimate and cooling call: answers, or errors."""

import json
import os
import random
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from django.db import connection

from catalog.book.services import book_import
from catalog.records.errors import Refusal
from costing.chilling import case_answers
from costing.contract import InputErrors
from costing.headless import estimates
from tests.factories import kitchen_make
from tests.hostile.documents import spoiled
from tests.hostile.watch import MOST_SECONDS, digest, undone
from tests.small_kitchen import small_book_bytes
from tests.unit.costing.chilling.test_cases import GOOD

EXAMPLES = Path(__file__).parents[1] / "contract" / "examples"
COUNT = int(os.environ.get("COLDSET_HOSTILE", "500")) // 10
SEED = os.environ.get("COLDSET_HOSTILE_SEED", "1")
#: Seldom asked for as often as the others: an import writes a whole kitchen.
IMPORTS = COUNT // 4


def example(name: str) -> Any:
    return json.loads((EXAMPLES / name).read_text())


def answers(entry: Callable[[bytes], object], document: Any, name: str, count: int = COUNT) -> list[str]:
    """Give an entry many spoiled documents; return what went wrong."""
    wrong = []
    for number in range(count):
        text = spoiled(document, random.Random(f"{SEED}:{name}:{number}"))
        started = time.process_time()
        try:
            entry(text)
        except InputErrors as found:
            wrong += [f"{name} {number}: says nothing" for error in found.errors if not error.message]
        except Refusal:
            pass
        except Exception as error:
            wrong.append(f"{name} {number}: {error!r:.200} for {text[:300]!r}")
        if time.process_time() - started > MOST_SECONDS:
            wrong.append(f"{name} {number}: too slow, {text[:300]!r}")
    return wrong


def test_a_hostile_brief_gets_an_estimate_or_errors() -> None:
    book = ("book", (EXAMPLES / "generated-11.book.json").read_bytes())
    brief = example("generated-11.0.brief.json")
    assert answers(lambda text: json.dumps(estimates(book, [("brief", text)], explain=True)), brief, "brief") == []


def test_a_hostile_book_gets_an_estimate_or_errors() -> None:
    brief = ("brief", (EXAMPLES / "generated-11.0.brief.json").read_bytes())
    book = example("generated-11.book.json")
    assert answers(lambda text: json.dumps(estimates(("book", text), [brief])), book, "book") == []


def test_a_hostile_cooling_case_gets_an_answer_or_errors() -> None:
    assert answers(lambda text: json.dumps(case_answers([("case", text)])), GOOD, "case") == []


@pytest.mark.django_db
def test_a_hostile_book_is_imported_completely_or_not_at_all() -> None:
    kitchen_make()
    before = digest()

    def imported(text: bytes) -> None:
        with undone():
            try:
                book_import(data=text)
            except Exception:  # whatever refused it, it has to have written nothing
                assert digest() == before
                raise
            connection.check_constraints()

    assert answers(imported, json.loads(small_book_bytes()), "import", IMPORTS) == []
