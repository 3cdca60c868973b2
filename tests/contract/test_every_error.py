"""Every row of the contract's table of errors, at its place, alone and together with others."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import jsonpatch
import pytest
from hypothesis import given
from hypothesis import strategies as st

from costing import Brief, CostingError, DeliveryTerms, InputErrors, estimate, read_book, read_brief
from costing.contract import book_errors
from costing.contract.errors import CODES
from costing.headless import estimates

EXAMPLES = Path(__file__).parent / "examples"
BOOK = json.loads((EXAMPLES / "small.book.json").read_text())
BRIEF = json.loads((EXAMPLES / "small.dessert-table.brief.json").read_text())

Op = dict[str, Any]


def put(path: str, value: Any) -> Op:
    return {"op": "add", "path": path, "value": value}


def drop(path: str) -> Op:
    return {"op": "remove", "path": path}


def errors(book: list[Op] | None = None, brief: list[Op] | None = None) -> list[tuple[str, str]]:
    documents = [jsonpatch.apply_patch(whole, ops or []) for whole, ops in ((BOOK, book), (BRIEF, brief))]
    try:
        estimates(("book", json.dumps(documents[0])), [("brief", json.dumps(documents[1]))])
    except InputErrors as found:
        return [(error.code, error.at) for error in found.errors]
    return []


IN_BOOK: list[tuple[str, str, list[Op]]] = [
    ("schema", "book#/surprise", [put("/surprise", 1)]),
    ("schema", "book#/a~1b~0c", [put("/a~1b~0c", 1)]),
    ("schema", "book#", [drop("/currency")]),
    ("schema", "book#", [drop("/roles")]),
    ("schema", "book#/kitchen", [drop("/kitchen/price_step")]),
    ("schema", "book#/kitchen/price_step", [put("/kitchen/price_step", 0.25)]),
    ("schema", "book#/kitchen/price_step", [put("/kitchen/price_step", "0.255")]),
    ("schema", "book#/kitchen/order_minimum", [put("/kitchen/order_minimum", "1.005")]),
    ("schema", "book#/kitchen/price_step", [put("/currency", "JPY")]),
    ("schema", "book#/currency", [put("/currency", "XXX")]),
    ("schema", "book#/currency", [put("/currency", "usd")]),
    ("schema", "book#/format", [put("/format", "coldset-book/2")]),
    ("schema", "book#/kitchen/waste", [put("/kitchen/waste", "1e-3")]),
    ("schema", "book#/kitchen/waste", [put("/kitchen/waste", " 0.1")]),
    ("schema", "book#/kitchen/waste", [put("/kitchen/waste", "0.1\n")]),
    ("schema", "book#/kitchen/waste", [put("/kitchen/waste", "٣")]),
    ("schema", "book#/delivery", [put("/delivery", None)]),
    ("schema", "book#/products/0/servings", [put("/products/0/servings", True)]),
    ("schema", "book#/products/0/servings", [put("/products/0/servings", "1")]),
    ("schema", "book#/products/0/servings", [put("/products/0/servings", 1.5)]),
    ("schema", "book#/products/0/list_price", [put("/products/0/list_price", "6.805")]),
    ("schema", "book#/price_rules/0/minimum", [put("/price_rules/0/minimum", "0.001")]),
    ("schema", "book#/recipes/0/lines/0", [drop("/recipes/0/lines/0/ingredient")]),
    ("schema", "book#/recipes/4/lines/0/ingredient", [put("/recipes/4/lines/0/ingredient", "cream")]),
    ("schema", "book#/taxes/service/0/from", [put("/taxes/service/0/from", "2026-02-30")]),
    ("schema", "book#/taxes/service/0/from", [put("/taxes/service/0/from", "20260201")]),
    ("schema", "book#/ingredients/0/packs/0/preferred", [put("/ingredients/0/packs/0/preferred", 0)]),
    ("schema", "book#/stations/oven/kind", [put("/stations/oven/kind", "kiln")]),
    ("duplicate_code", "book#/ingredients/1/code", [put("/ingredients/1/code", "cream")]),
    ("duplicate_code", "book#/recipes/4/code", [put("/recipes/4/code", "set-cream")]),
    ("duplicate_code", "book#/price_rules/1/code", [put("/price_rules/1/code", "house")]),
    ("duplicate_code", "book#/ingredients/2/parts/1/code", [put("/ingredients/2/parts/1/code", "juice")]),
    ("duplicate_code", "book#/taxes/prepared-food/1/from", [put("/taxes/prepared-food/1/from", "2025-01-01")]),
    ("unknown_ingredient", "book#/recipes/0/lines/0/ingredient", [put("/recipes/0/lines/0/ingredient", "mist")]),
    ("unknown_ingredient", "book#/products/0/packaging/0/ingredient", [put("/products/0/packaging/0/ingredient", "x")]),
    ("unknown_part", "book#/recipes/0/lines/0/part", [put("/recipes/0/lines/0/part", "skin")]),
    ("unknown_recipe", "book#/recipes/4/lines/0/recipe", [put("/recipes/4/lines/0/recipe", "foam")]),
    ("unknown_product", "book#/price_rules/4/product", [put("/price_rules/4/product", "pie")]),
    ("unknown_role", "book#/recipes/0/labour/0/role", [put("/recipes/0/labour/0/role", "baker")]),
    ("unknown_role", "book#/products/0/labour/0/role", [put("/products/0/labour/0/role", "baker")]),
    ("unknown_role", "book#/delivery/role", [put("/delivery/role", "pilot")]),
    ("unknown_station", "book#/products/1/station_time/0/station", [put("/products/1/station_time/0/station", "kiln")]),
    ("unknown_tax", "book#/products/0/tax", [put("/products/0/tax", "goods")]),
    ("unknown_tax", "book#/delivery/tax", [put("/delivery/tax", "road")]),
    *(
        ("bad_measure", "book#/recipes/0/lines/0/amount", [put("/recipes/0/lines/0/amount", text)])
        for text in (
            "",
            "g",
            "1",
            "1  g",
            "1 G",
            "1 grams",
            "0 g",
            "0/3 cup",
            "1/0 cup",
            "-1 g",
            "1,5 kg",
            "1e3 g",
            "½½ cup",
            "1 1 g",
            "1 .5 g",
            ".5 kg",
            "1. kg",
            "1 g ",
            "٣ g",
            "9" * 80 + " g",
        )
    ),
    ("bad_measure", "book#/recipes/0/batch_limit", [put("/recipes/0/batch_limit", "4 l")]),
    ("bad_measure", "book#/recipes/1/batch_min", [put("/recipes/1/batch_min", "3 each")]),
    ("bad_measure", "book#/recipes/4/lines/0/amount", [put("/recipes/4/lines/0/amount", "1 cup")]),
    ("bad_measure", "book#/products/0/fill/0/amount", [put("/products/0/fill/0/amount", "1 each")]),
    ("bad_measure", "book#/products/0/packaging/0/amount", [put("/products/0/packaging/0/amount", "20 g")]),
    ("bad_measure", "book#/products/0/packaging/0/amount", [put("/products/0/packaging/0/amount", "1 cup")]),
    ("bad_measure", "book#/ingredients/8/packs/0/size", [put("/ingredients/8/packs/0/size", "1 kg")]),
    (
        "bad_measure",
        "book#/recipes/0/lines/0/ingredient",
        [put("/recipes/0/lines/0", {"ingredient": "glass", "amount": "1 each"})],
    ),
    ("no_density", "book#/ingredients/0/packs/0/size", [drop("/ingredients/0/density")]),
    ("no_density", "book#/recipes/0/lines/3/amount", [drop("/ingredients/2/parts/1/density")]),
    ("no_piece_weight", "book#/ingredients/2/packs/1/size", [drop("/ingredients/2/grams_each")]),
    ("no_piece_weight", "book#/recipes/2/lines/3/amount", [drop("/ingredients/3/parts/0/grams_each")]),
    (
        "recipe_cycle",
        "book#/recipes/0/lines/4/recipe",
        [put("/recipes/0/lines/-", {"recipe": "set-cream", "amount": "1 g"})],
    ),
    *(
        ("bad_share", "book#" + path, [put(path, value)])
        for path, values in {
            "/ingredients/2/parts/0/share": ("0", "1.01", "-0.1"),
            "/ingredients/3/yield": ("0", "1.001"),
            "/recipes/0/loss": ("1", "-0.01"),
            "/kitchen/floor_margin": ("1", "-1"),
            "/delivery/margin": ("1",),
            "/price_rules/0/margin": ("1", "-0.5"),
            "/kitchen/waste": ("-0.01",),
            "/kitchen/rush_rate": ("-0.01",),
            "/roles/pastry/on_cost": ("-0.2",),
            "/products/0/spare": ("-0.04",),
            "/taxes/service/0/rate": ("-0.01",),
        }.items()
        for value in values
    ),
    *(
        ("negative_amount", "book#" + path, [put(path, value)])
        for path, values in {
            "/ingredients/0/density": ("0", "-1"),
            "/ingredients/2/grams_each": ("0",),
            "/ingredients/2/parts/0/density": ("0",),
            "/kitchen/price_step": ("0", "-0.25"),
            "/products/0/load": (0, -1),
            "/products/0/servings": (0,),
            "/products/0/sale_multiple": (0,),
            "/ingredients/0/packs/0/price": ("-5.90",),
            "/products/0/list_price": ("-1",),
            "/price_rules/1/minimum": ("-4",),
            "/kitchen/order_minimum": ("-250",),
            "/roles/pastry/hourly": ("-25",),
            "/stations/oven/hourly": ("-1",),
            "/overhead/per_labour_hour": ("-1",),
            "/overhead/per_order": ("-1",),
            "/delivery/per_km": ("-0.42",),
            "/recipes/0/labour/0/per_batch": ("-1",),
            "/recipes/0/labour/0/per_kg": ("-1",),
            "/products/0/labour/0/per_load": ("-1",),
            "/products/0/labour/0/per_unit": ("-1",),
            "/products/0/station_time/0/minutes_per_load": ("-1",),
        }.items()
        for value in values
    ),
]

IN_BRIEF: list[tuple[str, str, list[Op]]] = [
    ("schema", "brief#", [drop("/date")]),
    ("schema", "brief#/lines", [put("/lines", [])]),
    ("schema", "brief#/colour", [put("/colour", "blue")]),
    ("schema", "brief#/delivery", [put("/delivery", None)]),
    ("schema", "brief#/lines/0/units", [put("/lines/0/units", "96")]),
    ("schema", "brief#/lines/0/units", [put("/lines/0/units", True)]),
    ("schema", "brief#/lines/0/unit_price", [put("/lines/0/unit_price", "5.005")]),
    ("schema", "brief#/extras/0/amount", [put("/extras/0/amount", "45.001")]),
    ("schema", "brief#/date", [put("/date", "24.11.2026")]),
    ("unknown_product", "brief#/lines/1/product", [put("/lines/1/product", "pie")]),
    ("unknown_tax", "brief#/extras/0/tax", [put("/extras/0/tax", "road")]),
    ("bad_share", "brief#/discount", [put("/discount", "1.01")]),
    ("bad_share", "brief#/discount", [put("/discount", "-0.01")]),
    ("negative_amount", "brief#/delivery/km", [put("/delivery/km", "-1")]),
    ("negative_amount", "brief#/delivery/minutes", [put("/delivery/minutes", "-1")]),
    ("negative_amount", "brief#/delivery/setup_minutes", [put("/delivery/setup_minutes", "-1")]),
    ("negative_amount", "brief#/delivery/crew", [put("/delivery/crew", -1)]),
    ("negative_amount", "brief#/extras/0/cost", [put("/extras/0/cost", "-1")]),
    ("negative_amount", "brief#/extras/0/amount", [put("/extras/0/amount", "-1")]),
    ("negative_amount", "brief#/lines/0/unit_price", [put("/lines/0/unit_price", "-1")]),
    ("bad_units", "brief#/lines/0/units", [put("/lines/0/units", 0)]),
    ("bad_units", "brief#/lines/0/units", [put("/lines/0/units", -12)]),
    ("duplicate_line", "brief#/lines/2/product", [put("/lines/2/product", "set-cream-glass")]),
    ("no_pack_in_force", "book#/ingredients/6/packs", [put("/date", "2027-03-01")]),
    ("no_tax_in_force", "book#/taxes/prepared-food", [put("/supply_date", "2024-12-31")]),
]


@pytest.mark.parametrize(("code", "at", "ops"), IN_BOOK)
def test_a_fault_in_the_book_is_found_at_its_place(code: str, at: str, ops: list[Op]) -> None:
    assert (code, at) in errors(book=ops)


@pytest.mark.parametrize(("code", "at", "ops"), IN_BRIEF)
def test_a_fault_in_the_brief_is_found_at_its_place(code: str, at: str, ops: list[Op]) -> None:
    assert (code, at) in errors(brief=ops)


def test_what_the_book_must_hold_for_the_brief() -> None:
    assert ("no_delivery", "brief#/delivery") in errors(book=[drop("/delivery")])
    assert errors(book=[put("/price_rules", [])]) == [("no_price_rule", f"brief#/lines/{n}/product") for n in range(3)]
    only = [{"code": "tart", "product": "custard-tart-24", "margin": "0.5"}]
    assert errors(book=[put("/price_rules", only)]) == [("no_price_rule", f"brief#/lines/{n}/product") for n in (0, 1)]
    assert errors(book=[put("/ingredients/8/packs", [])]) == [("no_pack_in_force", "book#/ingredients/8/packs")]
    assert errors(brief=[put("/supply_date", "2024-12-31"), put("/tax_exempt", True)]) == []


def test_an_escaped_tax_code_has_an_escaped_place() -> None:
    ops = [put("/taxes/a~1b~0", [{"rate": "0.1", "from": "2030-01-01"}]), put("/products/0/tax", "a/b~")]
    assert errors(book=ops) == [("no_tax_in_force", "book#/taxes/a~1b~0")]


def test_every_recipe_reference_on_a_loop_is_named_and_the_message_names_the_loop() -> None:
    ops = [put("/recipes/1/lines/-", {"recipe": "dressed-pears", "amount": "50 g"})]
    found = [e for e in book_errors(jsonpatch.apply_patch(BOOK, ops)) if e.code == "recipe_cycle"]
    assert [e.at for e in found] == ["book#/recipes/1/lines/3/recipe", "book#/recipes/4/lines/0/recipe"]
    assert "pear-compote → dressed-pears → pear-compote" in found[0].message


def test_all_faults_come_at_once_in_the_order_of_the_document() -> None:
    ops = [op for code, at, ops in IN_BOOK if at.count("/") > 3 and "lines" in at and len(ops) == 1 for op in ops][-3:]
    ops += [put("/kitchen/waste", "-1"), put("/surprise", 1), put("/products/0/load", 0), put("/recipes/0/loss", "2")]
    found = [at for _, at in errors(book=ops, brief=[put("/discount", "2"), put("/lines/0/units", 0)])]
    positions = [found.index(at) for at in ("book#/kitchen/waste", "book#/recipes/0/loss", "book#/products/0/load")]
    assert positions == sorted(positions)
    assert "brief#/discount" in found
    assert "book#/surprise" in found
    assert len(set(found)) == len(found)


def test_the_table_of_codes_is_complete() -> None:
    tried = {code for code, _, _ in IN_BOOK + IN_BRIEF} | {"no_price_rule", "no_delivery"}
    assert tried == CODES


def test_a_brief_made_in_code_is_checked_like_a_document() -> None:
    book = read_book(BOOK)
    brief = read_brief(BRIEF).with_line("custard-tart-24", units=-1)
    broken = Brief(
        brief.date,
        brief.lines,
        delivery=DeliveryTerms(-brief.lines[0].units * book.kitchen.waste, book.kitchen.waste, 1),
        discount=-book.kitchen.waste,
    )
    with pytest.raises(InputErrors) as found:
        estimate(book, broken)
    assert [(e.code, e.at) for e in found.value.errors] == [
        ("bad_units", "brief#/lines/2/units"),
        ("negative_amount", "brief#/delivery/km"),
        ("bad_share", "brief#/discount"),
    ]
    with pytest.raises(InputErrors):
        estimate(book, Brief(brief.date, ()))


JSON = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats(allow_nan=False) | st.text(max_size=5) | st.just("1 kg"),
    lambda inner: (
        st.lists(inner, max_size=3) | st.dictionaries(st.sampled_from(["code", "lines", "amount", "x"]), inner)
    ),
    max_leaves=5,
)


def places(value: Any, path: str = "") -> list[str]:
    found = [path] if path else []
    if isinstance(value, dict):
        for key, item in value.items():
            found += places(item, f"{path}/{key}")
    elif isinstance(value, list):
        for i, item in enumerate(value):
            found += places(item, f"{path}/{i}")
    return found


@given(st.sampled_from(places(BOOK)), JSON, st.sampled_from(places(BRIEF)), JSON)
def test_whatever_stands_anywhere_the_answer_is_an_estimate_or_errors(
    in_book: str, value: Any, in_brief: str, other: Any
) -> None:
    for found in (
        errors(book=[put(in_book, value)]),
        errors(brief=[put(in_brief, other)]),
        errors([put(in_book, value)], [put(in_brief, other)]),
    ):
        assert all(code in CODES for code, _ in found)
        assert all(isinstance(CostingError(code, at, "").as_json(), dict) for code, at in found)
