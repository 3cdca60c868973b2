"""The kitchen's own products through `manage.py cooling --product`."""

import json
from decimal import Decimal
from io import StringIO
from typing import Any

import pytest
from django.core.management import call_command

from catalog.book.revision import catalog_changed
from catalog.products.models import Product
from costing.chilling import case_answers
from tests.cooling_kitchen import cooling_kitchen_make
from tests.integration.catalog.cooling.test_contents import taking

pytestmark = pytest.mark.django_db


def answers(*codes: str) -> list[dict[str, Any]]:
    """Run the command."""
    out = StringIO()
    call_command("cooling", *(word for code in codes for word in ("--product", code)), stdout=out)
    return [json.loads(line) for line in out.getvalue().splitlines()]


def refused(*words: str) -> list[dict[str, str]]:
    """Run the command in vain; return what it says."""
    err = StringIO()
    with pytest.raises(SystemExit) as stopped:
        call_command("cooling", *words, stderr=err)
    assert stopped.value.code == 2
    found: list[dict[str, str]] = json.loads(err.getvalue())["errors"]
    return found


def test_a_product_is_printed_with_its_case_and_the_rules_verdict() -> None:
    cooling_kitchen_make(diameter_cm="25", height_cm="7.5", leaves_c="68")
    (one,) = answers("custard-tart")
    assert (one["product"], one["after"], one["verdict"]) == ("custard-tart", "Bake", "not kept")
    assert one["ruling_clock"] == "cooling"
    assert one["ready_minutes"] == one["minutes_to"][-1]["slow"] > 1200
    assert one["out_of_the_cold"] == {
        "carried": "carton",
        "air_c": 25.0,
        "minutes": 240,
        "source": one["out_of_the_cold"]["source"],
    }


def test_the_rule_says_what_it_is_and_how_it_was_read_and_a_limit_of_the_house_its_source() -> None:
    cooling_kitchen_make(food_safety="nz", time_out_minutes=120, time_out_source="Our food safety plan")
    (one,) = answers("custard-tart")
    rule = one["rule"]
    assert (rule["code"], rule["kind"], rule["seen"], rule["binding"]) == ("nz", "template", "secondary", True)
    out = one["out_of_the_cold"]
    assert (out["minutes"], out["source"]) == (120, "Our food safety plan")


def test_its_case_is_one_the_command_takes() -> None:
    cooling_kitchen_make()
    (one,) = answers("custard-tart")
    (answer,) = case_answers([("tart", json.dumps(one["case"]))])
    likely = {row["c"]: row["likely"] for row in one["minutes_to"]}
    core = answer["minutes_to"]["core"]
    assert core["41F_5.00C"] == pytest.approx(likely[5.0], rel=2e-3)
    assert core["135F_57.22C"] == pytest.approx(likely[57.22], rel=5e-3)


def test_the_case_of_a_layered_product_has_its_layer() -> None:
    """Fed back it answers for both layers as the product does."""
    cooling_kitchen_make()
    taking("bake", "custard", takes_c=Decimal(5), takes_as="layer")
    (one,) = answers("custard-tart")
    assert one["case"]["on_top"]["initial_c"] == 5
    assert 0 < one["case"]["on_top"]["height_mm"] < 22
    (answer,) = case_answers([("tart", json.dumps(one["case"]))])
    likely = {row["c"]: row["likely"] for row in one["minutes_to"]}
    assert answer["minutes_to"]["core"]["41F_5.00C"] == pytest.approx(likely[5.0], rel=5e-3)


def test_the_stated_night_rules_over_a_thin_tart() -> None:
    cooling_kitchen_make()
    (one,) = answers("custard-tart")
    assert (one["ruling_clock"], one["ready_minutes"]) == ("stated", 780)


def test_all_that_is_wrong_is_reported_at_once() -> None:
    tart = cooling_kitchen_make()
    Product.objects.filter(pk=tart.pk).update(mold=None)
    catalog_changed()
    words = ["--product", "custard-tart", "--product", "rice-glass", "--product", "nothing"]
    errors = refused(*words)
    assert {error["at"] for error in errors} == {
        "product#/custard-tart",
        "product#/rice-glass",
        "product#/nothing",
    }
    assert "Choose what Custard tart, 10 cm is made in" in json.dumps(errors, ensure_ascii=False)


def test_cases_and_products_are_asked_for_apart() -> None:
    assert "apart" in refused("case.json", "--product", "custard-tart")[0]["message"]
    assert "Name a file" in refused()[0]["message"]
