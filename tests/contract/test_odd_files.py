"""What people and programs get wrong in a Book or Brief: each is an error at its place, and nothing is printed."""

from __future__ import annotations

import copy
import json
from pathlib import Path
from typing import Any

import pytest

from tests.contract.test_command import BOOK, BRIEF, OTHER, refused, run

WHOLE = {"book": json.loads(Path(BOOK).read_text()), "brief": json.loads(Path(BRIEF).read_text())}
PRICE = "/ingredients/0/packs/0/price"
AMOUNT = "/recipes/0/lines/0/amount"


def changed(root: str, at: str, value: Any) -> Any:
    document = copy.deepcopy(WHOLE[root])
    *steps, last = at.split("/")[1:]
    inside = document
    for step in steps:
        inside = inside[int(step)] if isinstance(inside, list) else inside[step]
    inside[int(last) if isinstance(inside, list) else last] = value
    return document


def errors_found(tmp_path: Path, root: str, text: str | bytes, *more: str) -> list[tuple[str, str]]:
    path = tmp_path / "odd.json"
    path.write_bytes(text if isinstance(text, bytes) else text.encode())
    book, brief = (str(path), BRIEF) if root == "book" else (BOOK, str(path))
    return [(error["code"], error["at"]) for error in refused("--book", book, brief, *more)]


WRONG: list[tuple[str, str, Any, str]] = [
    *(
        ("book", PRICE, value, "schema")
        for value in ("+1", " 1", "1 ", "1e3", "٣", "1,5", "", "1.", ".5", "0x1", "1_0")
    ),
    *(("book", PRICE, value, "schema") for value in (1, 1.5, True, None, [], {}, "9" * 31, "0." + "1" * 31)),
    *(("book", "/products/0/servings", value, "schema") for value in ("1", True, None, 1.5, [])),
    *(
        ("book", AMOUNT, value, "bad_measure")
        for value in (
            "1/0 cup",
            "1 1/2/3 cup",
            "½½ cup",
            "1 ½ ½ cup",
            "0/5 g",
            "00 g",
            "0.000 g",
            "1.5 1/2 cup",
            "1 1.5/2 cup",
            "1½ 1/2 cup",
            "½1 cup",
            "½/2 cup",
            "1 / 2 cup",
            "1/-2 cup",
            "1⁄2 cup",
            "2 cups",
            "2 CUP",
            "2 Cup",
            "2\u00a0cup",
            "2\tcup",
            "2cup",
            "+2 cup",
            "-0 g",
            "NaN g",
            "2 us_cup",
            "2 fl oz",
            "² g",
        )
    ),
    *(("book", AMOUNT, value, "schema") for value in (250, None, True, ["250 g"])),
    ("book", "/kitchen/price_step", "-0", "negative_amount"),
    ("book", "/kitchen/cup", "US", "schema"),
    ("book", "/kitchen/prices", None, "schema"),
    ("book", "/products/0/sale_multiple", -1, "negative_amount"),
    ("book", "/products/0/name", 7, "schema"),
    ("book", "/products/0/code", "", "schema"),
    *(
        ("book", at + "/surprise", 1, "schema")
        for at in (
            "",
            "/kitchen",
            "/overhead",
            "/delivery",
            "/roles/pastry",
            "/stations/oven",
            "/taxes/service/0",
            "/ingredients/0",
            "/ingredients/0/packs/0",
            "/ingredients/2/parts/0",
            "/recipes/0",
            "/recipes/0/lines/0",
            "/recipes/0/labour/0",
            "/products/0",
            "/products/0/fill/0",
            "/products/0/packaging/0",
            "/products/0/labour/0",
            "/products/1/station_time/0",
            "/price_rules/0",
        )
    ),
    *(("brief", at + "/surprise", None, "schema") for at in ("", "/lines/0", "/extras/0", "/delivery")),
    *(("brief", "/lines/0/units", value, "schema") for value in ("96", True, None, 96.5, [])),
    *(("brief", "/discount", value, "schema") for value in (0.1, 0, None, "10 %", "1e-1", "+0.1", " 0.1", "٣")),
    *(("brief", "/rush", value, "schema") for value in (1, 0, "true", None)),
    ("brief", "/lines/0/unit_price", "5.001", "schema"),
    ("brief", "/lines/0/units", 10**30, "schema"),
    ("brief", "/supply_date", "2027-2-6", "schema"),
    ("brief", "/supply_date", "2027-02-06T10:00", "schema"),
    ("brief", "/customer_kind", None, "schema"),
    ("brief", "/delivery/crew", "2", "schema"),
]


@pytest.mark.parametrize(("root", "at", "value", "code"), WRONG)
def test_the_value_is_named(tmp_path: Path, root: str, at: str, value: Any, code: str) -> None:
    assert errors_found(tmp_path, root, json.dumps(changed(root, at, value))) == [(code, f"{root}#{at}")]


@pytest.mark.parametrize("root", ["book", "brief"])
@pytest.mark.parametrize("odd", ["NaN", "Infinity", "-Infinity", "1e999", "-1e999", "1e5000000"])
def test_numbers_json_has_not_or_that_have_no_end(tmp_path: Path, root: str, odd: str) -> None:
    text = json.dumps(changed(root, "/odd", "@")).replace('"@"', odd)
    where = f"{root}#/odd" if odd[-1].isdigit() else f"{root}#"
    assert errors_found(tmp_path, root, text) == [("schema", where)]


@pytest.mark.parametrize("root", ["book", "brief"])
def test_half_a_pair_of_surrogates_is_no_traceback(tmp_path: Path, root: str) -> None:
    text = json.dumps(WHOLE[root])[:-1] + ', "\\ud800": "\\udfff"}'
    assert errors_found(tmp_path, root, text) == [("schema", f"{root}#/\ud800")]


@pytest.mark.parametrize("root", ["book", "brief"])
def test_a_mark_at_the_front_is_read_over_and_utf_16_is_refused(tmp_path: Path, root: str) -> None:
    path = tmp_path / "marked.json"
    path.write_bytes(b"\xef\xbb\xbf" + json.dumps(WHOLE[root]).encode())
    book, brief = (str(path), BRIEF) if root == "book" else (BOOK, str(path))
    assert run("--book", book, brief)[0] == 0
    assert errors_found(tmp_path, root, json.dumps(WHOLE[root]).encode("utf-16")) == [("schema", f"{root}#")]


@pytest.mark.parametrize("root", ["book", "brief"])
def test_a_file_of_ten_megabytes_is_answered(tmp_path: Path, root: str) -> None:
    assert errors_found(tmp_path, root, json.dumps(changed(root, "/note", "x" * 10_000_000))) == [
        ("schema", f"{root}#/note")
    ]
    assert errors_found(tmp_path, root, b"[" + b"1," * 1_000_000 + b"1]") == [("schema", f"{root}#")]


def test_a_folder_is_no_file_and_every_unreadable_file_is_named(tmp_path: Path) -> None:
    errors = refused("--book", str(tmp_path), str(tmp_path), str(tmp_path / "none.json"))
    assert [(error["code"], error["at"]) for error in errors] == [
        ("schema", "book#"),
        ("schema", "brief#"),
        ("schema", "brief#"),
    ]
    assert "none.json" in errors[2]["message"]


@pytest.mark.parametrize("more", [(), ("--explain",)])
def test_one_bad_brief_of_several_keeps_all_estimates_back(tmp_path: Path, more: tuple[str, ...]) -> None:
    text = json.dumps(changed("brief", "/lines/0/product", "pie"))
    assert errors_found(tmp_path, "brief", text, BRIEF, OTHER, *more) == [("unknown_product", "brief#/lines/0/product")]


@pytest.mark.parametrize(("at", "value"), [("/discount", "-0"), ("/discount", "0.000"), ("/lines/0/units", 96.0)])
def test_odd_ways_to_write_a_sound_value_are_read(tmp_path: Path, at: str, value: Any) -> None:
    path = tmp_path / "brief.json"
    path.write_text(json.dumps(changed("brief", at, value)))
    code, out, err = run("--book", BOOK, str(path))
    assert (code, err) == (0, "")
    assert "e-" not in out.replace("cre", "")
