"""The published schemas: sound, and held against the quick check; documents read strictly."""

from __future__ import annotations

import copy
import json
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from jsonschema import Draft202012Validator

from costing.contract import InputErrors, read_book, read_json, write_book
from costing.contract.schema import validator
from costing.contract.schema_compiler import compile_schema
from tests.contract.kitchens import any_book, any_brief
from tests.contract.test_every_error import BOOK, BRIEF, JSON, places


@pytest.mark.parametrize("name", ["book", "brief", "estimate"])
def test_a_published_schema_is_a_schema(name: str) -> None:
    Draft202012Validator.check_schema(validator(name).schema)


@given(st.sampled_from(["book", "brief"]), st.data())
def test_the_quick_check_says_yes_exactly_when_the_library_finds_nothing(name: str, data: st.DataObject) -> None:
    document: Any = copy.deepcopy(BOOK if name == "book" else BRIEF)
    for _ in range(data.draw(st.integers(0, 2))):
        steps = data.draw(st.sampled_from(places(document))).split("/")[1:]
        inside = document
        for step in steps[:-1]:
            inside = inside[int(step)] if isinstance(inside, list) else inside[step]
        key: Any = int(steps[-1]) if isinstance(inside, list) else steps[-1]
        if data.draw(st.booleans()):
            inside[key] = data.draw(JSON)
        else:
            del inside[key]
    quick = compile_schema(dict(validator(name).schema))(document)
    assert quick == validator(name).is_valid(document)


@given(st.integers(0, 10**9))
def test_made_up_kitchens_keep_the_schemas(seed: int) -> None:
    book = any_book(seed)
    assert compile_schema(dict(validator("book").schema))(book)
    assert compile_schema(dict(validator("brief").schema))(any_brief(seed, book))


def test_a_keyword_the_quick_check_does_not_know_never_becomes_a_yes() -> None:
    assert not compile_schema({"type": "string", "contentEncoding": "base64"})("x")


def test_a_whole_number_with_a_point_is_whole() -> None:
    assert read_json('{"units": 3.0, "share": 2.5}', "brief") == {"units": 3, "share": 2.5}
    assert isinstance(read_json("[3.0]", "brief")[0], int)


@pytest.mark.parametrize("text", ["{", "[1,]", "NaN", "[Infinity]", '{"a": 1, "a": 2}', "[" * 60 + "]" * 60, b"\xc3("])
def test_a_document_that_is_not_strict_json_is_one_schema_error(text: str | bytes) -> None:
    with pytest.raises(InputErrors) as found:
        read_json(text, "book")
    assert {error.code for error in found.value.errors} == {"schema"}
    assert all(error.at.startswith("book#") for error in found.value.errors)


def test_the_schemas_stand_in_the_package() -> None:
    folder = Path(validator.__wrapped__.__code__.co_filename).with_name("schemas")
    assert {path.stem for path in folder.glob("*.json")} == {"book", "brief", "estimate"}
    for path in folder.glob("*.json"):
        assert json.loads(path.read_text())["$id"] == f"urn:coldset:{path.stem}:1"


def test_what_is_written_keeps_the_schema() -> None:
    assert validator("book").is_valid(write_book(read_book(BOOK)))
