"""Every refusal and every reason of the catalog has a sentence."""

import ast
from collections.abc import Iterator
from datetime import date
from pathlib import Path

import pytest

from catalog.cooling import missing_presenters, remedy_presenters
from catalog.outbox.presenters import failure_sentence
from catalog.outbox.reasons import _CODES
from catalog.price_lists import presenters as price_lists
from catalog.price_lists.models import PriceList
from catalog.recipes import presenters as recipes
from catalog.records import presenters
from catalog.records.errors import CatalogError, ChangedMeanwhile, InUse, PackDatesOverlap
from catalog.records.reasons import Reason
from catalog.spreadsheets import words
from tests.each import each

CATALOG = Path(presenters.__file__).parents[1]
#: What takes a code first.
CODED = {"Reason", "LineProblem", "Unreadable", "NotWorkedOut"}
#: Packages with sentences of their own.
OWN = {
    "cooling": {**missing_presenters.SENTENCES, **remedy_presenters.SENTENCES},
    "recipes": recipes.SENTENCES,
    "price_lists": price_lists.SENTENCES,
    # Why a table cannot be read.
    "records": price_lists.SENTENCES,
    "spreadsheets": words.SENTENCES,
}


def _below(error: type[CatalogError]) -> Iterator[type[CatalogError]]:
    yield error
    for lower in error.__subclasses__():
        yield from _below(lower)


def _codes(package: str) -> set[str]:
    """Return the codes that a package's modules write out."""
    trees = (ast.parse(path.read_text()) for path in (CATALOG / package).rglob("*.py"))
    calls = (node for tree in trees for node in ast.walk(tree) if isinstance(node, ast.Call) and node.args)
    return {
        str(call.args[0].value)
        for call in calls
        if isinstance(call.func, ast.Name) and call.func.id in CODED and isinstance(call.args[0], ast.Constant)
    }


def test_every_refusal_has_a_sentence() -> None:
    codes = [error.code for error in _below(CatalogError)]
    assert set(codes) <= set(presenters.SENTENCES)
    assert len(codes) == len(set(codes))


@each("package", sorted(path.name for path in CATALOG.iterdir() if (path / "__init__.py").exists()))
def test_every_reason_has_a_sentence(package: str) -> None:
    own = OWN.get(package, {})
    wording = {*presenters.SENTENCES, *own, *(code for _, code in _CODES), "interrupted", "took_too_long", "said"}
    assert _codes(package) - wording == set()


def test_what_is_wrong_in_a_spreadsheet_or_asked_about_it_has_words() -> None:
    paths = [*(CATALOG / "spreadsheets").glob("*.py"), CATALOG.parent / "orders/inquiries/customer_spreadsheet.py"]
    calls = [node for path in paths for node in ast.walk(ast.parse(path.read_text())) if isinstance(node, ast.Call)]
    place = {"problem": 2, "ask": 0}
    met: dict[str, set[str]] = {"problem": set(), "ask": set()}
    for call in calls:
        name = call.func.attr if isinstance(call.func, ast.Attribute) else ""
        if name in place and len(call.args) > 2 and isinstance(call.args[place[name]], ast.Constant):
            met[name].add(ast.literal_eval(call.args[place[name]]))
    assert met["problem"] <= set(words.SENTENCES)
    assert met["ask"] <= set(words.QUESTIONS)
    assert _unreadable("records") <= set(words.SENTENCES)
    assert len(met["problem"]) > 25


def _unreadable(package: str) -> set[str]:
    return _codes(package) & set(price_lists.SENTENCES)


@each("code", sorted({code for _, code in _CODES} | {"may_not_load", "unexpected", "interrupted"}))
def test_every_failure_of_work_has_a_sentence(code: str) -> None:
    assert failure_sentence(Reason(code, {"error": "Timeout"})).endswith((". (Timeout)", "while it was running."))


@pytest.mark.parametrize("status", PriceList.Status.values)
def test_every_status_of_a_price_list_has_words(status: str) -> None:
    assert presenters.reason_sentence(Reason(f"list_{status}")).endswith(".")


def test_what_uses_a_row_is_named_and_the_rest_is_counted() -> None:
    users = [Reason("user", {"kind": "recipe", "name": name}) for name in "ABCDEFG"]
    error = InUse(what=Reason("row", {"name": "Plums"}), users=users)
    assert presenters.sentence(error).startswith(
        "“Plums” is used by the recipe A, the recipe B, the recipe C, the recipe D, the recipe E and 2 more. "
    )
    named = InUse(what="Paste", users=[Reason("names", {"names": ["Tart", "Flan", "Pie"]})])
    assert presenters.sentence(named).startswith("Paste is used by Tart, Flan and Pie. ")


def test_a_refusal_names_its_place_and_its_log_entry_has_no_sentence() -> None:
    error = PackDatesOverlap(place="starts", size="5 lb", day=date(2026, 9, 1))
    assert (error.code, error.place, error.params["size"]) == ("pack_dates", "starts", "5 lb")
    assert str(ChangedMeanwhile(what="Plums")) == "changed_meanwhile {'what': 'Plums'}"
