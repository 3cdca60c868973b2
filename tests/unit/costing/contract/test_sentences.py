"""Errors and warnings keep what their English sentences are made of, so that others can be written from it."""

from __future__ import annotations

import json
import pickle
import re
from datetime import date
from fractions import Fraction
from pathlib import Path
from typing import Any

import jsonpatch
import pytest

import catalog
import costing
from costing import CostingError, InputErrors, estimate, read_book, read_brief
from costing.contract.sentences import BOOK as BOOK_SENTENCES
from costing.contract.sentences import BRIEF as BRIEF_SENTENCES
from costing.contract.sentences import DOCUMENT, ESTIMATE, sentence
from costing.headless import estimates
from costing.measures.measure import MeasureError, parse_measure
from tests.contract.kitchens import any_book, any_brief
from tests.contract.test_every_error import BOOK, BRIEF, IN_BOOK, IN_BRIEF
from tests.each import each

TEMPLATES = {"book": BOOK_SENTENCES, "brief": BRIEF_SENTENCES}
CASES = [(ops, []) for _, _, ops in IN_BOOK] + [([], ops) for _, _, ops in IN_BRIEF]


def errors(book: list[dict[str, Any]], brief: list[dict[str, Any]]) -> tuple[CostingError, ...]:
    documents = [jsonpatch.apply_patch(whole, ops) for whole, ops in ((BOOK, book), (BRIEF, brief))]
    with pytest.raises(InputErrors) as found:
        estimates(("book", json.dumps(documents[0])), [("brief", json.dumps(documents[1]))])
    return found.value.errors


def made_again(error: CostingError) -> str:
    params = dict(error.params)
    reason = str(params.pop("reason"))
    templates = TEMPLATES[error.at.partition("#")[0]]
    if reason in templates or reason in DOCUMENT:
        return sentence(templates, reason, params)
    return str(MeasureError(reason, **{key: str(value) for key, value in params.items()}))


@each(("book", "brief"), CASES)
def test_an_error_says_all_its_sentence_needs(book: list[dict[str, Any]], brief: list[dict[str, Any]]) -> None:
    for error in errors(book, brief):
        assert made_again(error) == error.message
        for value in error.params.values():
            assert isinstance(value, str | int | Fraction | date | tuple)


def test_an_error_out_of_range_names_the_number_its_owner_and_the_bounds() -> None:
    [error] = errors([{"op": "add", "path": "/ingredients/0/yield", "value": "1.5"}], [])
    assert error.message == "Yield of “Heavy cream” is 1.5. It has to be above 0 and at most 1."
    assert error.params == {
        "reason": "out_of_range",
        "key": "yield",
        "owner": "Heavy cream",
        "value": "1.5",
        "range": "share",
        "least": 0,
        "most": 1,
    }


def test_errors_are_the_same_whatever_their_parameters() -> None:
    one = CostingError("schema", "book#", "No.", {"reason": "x"})
    assert one == CostingError("schema", "book#", "No.")
    assert len(InputErrors([one, CostingError("schema", "book#", "No.")]).errors) == 1
    assert pickle.loads(pickle.dumps(one)).params == {"reason": "x"}  # noqa: S301 - our own bytes


@each("seed", range(40))
def test_a_warning_says_all_its_sentence_needs(seed: int) -> None:
    document = any_book(seed)
    for warning in estimate(read_book(document), read_brief(any_brief(seed, document))).warnings:
        assert warning.message == sentence(ESTIMATE, warning.code, warning.params)
        if warning.code == "below_target":
            assert isinstance(warning.params["margin"], Fraction)
            assert warning.params["rule"] in {rule["code"] for rule in document["price_rules"]}


def test_a_measure_that_cannot_be_read_says_why() -> None:
    with pytest.raises(MeasureError) as found:
        parse_measure("0 g")
    assert (found.value.reason, found.value.params) == ("nothing", {"text": "0 g"})
    assert str(pickle.loads(pickle.dumps(found.value))) == str(found.value)  # noqa: S301 - our own bytes


def test_no_sentence_is_left_without_a_use() -> None:
    # The catalog takes a Book over by the same table of sentences.
    folders = [Path(package.__path__[0]) for package in (costing, catalog)]
    paths = [path for folder in folders for path in folder.rglob("*.py") if path.name != "sentences.py"]
    used = "".join(path.read_text() for path in paths)
    for reason in {*DOCUMENT, *BOOK_SENTENCES, *BRIEF_SENTENCES, *ESTIMATE}:
        assert re.search(rf'"{reason}"', used), reason
