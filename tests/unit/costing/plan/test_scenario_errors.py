"""What is wrong with a scenario is said all at once, each with its code and place."""

from __future__ import annotations

import json
from collections.abc import Callable
from io import StringIO
from pathlib import Path
from typing import Any

import pytest
from django.core.management import call_command

from costing.contract import InputErrors
from costing.plan.cases import scenario_answers
from costing.plan.scenario_reading import CODES
from tests.unit.costing.plan.scenarios import EARLIEST, Document, feasible, scenario, step


def sound() -> Document:
    batch = {"id": "b", "steps": [step("mix", 30, hands=1), step("bake", 60, temp=170, oven=1), step("hold", 0, 60)]}
    return scenario("2026-09-07T06:00", [batch], [dict(EARLIEST), feasible("2026-09-08T08:00")])


def errors(*documents: Document) -> list[tuple[str, str]]:
    with pytest.raises(InputErrors) as found:
        scenario_answers([(f"file {at}", json.dumps(one)) for at, one in enumerate(documents)])
    assert {error.code for error in found.value.errors} <= CODES
    return [(error.code, error.at) for error in found.value.errors]


def planned(**more: Any) -> Document:
    batch = {
        "id": "theirs",
        "steps": [step("assemble", 60, hands=2), step("hold", 0, 60)],
        "plan": ["2026-09-07T07:00", "2026-09-07T08:00", "2026-09-07T08:30"],
        **more,
    }
    return {"id": "A", "window": ["2026-09-07T08:00", "2026-09-07T09:00"], "batches": [batch]}


def test_a_sound_scenario_has_no_error() -> None:
    document = {**sound(), "confirmed": [planned()]}
    assert scenario_answers([("it", json.dumps(document))])[0]["answers"][0]["answer"] == "2026-09-07T07:30"


Change = Callable[[Document], None]


def first(document: Document) -> Document:
    batch: Document = document["enquiry"]["batches"][0]
    return batch


def put(*path: str | int, value: Any) -> Change:
    def change(document: Document) -> None:
        here: Any = document
        for key in path[:-1]:
            here = here[key]
        here[path[-1]] = value

    return change


BATCH = ("enquiry", "batches", 0)
WRONG: list[tuple[Change, str, str]] = [
    (put("timezone", value="Nowhere"), "schema", "/timezone"),
    (put("now", value="soon"), "schema", "/now"),
    (put("now", value="2026-03-29T02:30"), "bad_time", "/now"),
    (put("now", value="2026-02-30T02:30"), "bad_time", "/now"),
    (put("kitchen", value=1), "schema", "/kitchen"),
    (put("grid_minutes", value=0), "schema", "/grid_minutes"),
    (put("hours", 0, "to", value="25:00"), "bad_time", "/hours/0/to"),
    (put("hours", 0, "to", value="06:00"), "bad_span", "/hours/0"),
    (put("hours", 0, "hands", value=-1), "bad_span", "/hours/0/hands"),
    (put("closed", value=["2026-13-01"]), "bad_time", "/closed/0"),
    (put("resources", "oven", "capacity", value="two"), "schema", "/resources/oven/capacity"),
    (put(*BATCH, "steps", 0, "min", value=-5), "bad_span", "/enquiry/batches/0/steps/0/min"),
    (put(*BATCH, "steps", 0, "min", value=40), "bad_span", "/enquiry/batches/0/steps/0"),
    (put(*BATCH, "steps", 0, "uses", value={"stove": 1}), "unknown_resource", "/enquiry/batches/0/steps/0/uses/stove"),
    (put(*BATCH, "steps", 0, "uses", value={"hands": 3}), "too_large", "/enquiry/batches/0/steps/0/uses/hands"),
    (put(*BATCH, "steps", 1, "uses", value={"oven": 2}), "too_large", "/enquiry/batches/0/steps/1/uses/oven"),
    (put(*BATCH, "steps", 0, value=step("mix", 485, hands=1)), "too_large", "/enquiry/batches/0/steps/0/min"),
    (put(*BATCH, "count", value=10**9), "too_large", "/enquiry/batches/0/count"),
    (put(*BATCH, "steps", value=[]), "schema", "/enquiry/batches/0/steps"),
    (put(*BATCH, "needs", value=[{"batch": "c", "step": "mix"}]), "schema", "/enquiry/batches/0/needs/0/batch"),
    (put(*BATCH, "needs", value=[{"batch": "b", "step": "boil"}]), "schema", "/enquiry/batches/0/needs/0/step"),
    (put(*BATCH, "needs", value=[{"batch": "b", "step": "mix"}]), "needs_cycle", "/enquiry/batches/0/needs"),
    (put("questions", 1, "window", value=["2026-09-08T09:00", "2026-09-08T08:00"]), "bad_span", "/questions/1/window"),
    (put("questions", 1, "window", 0, value="2026-03-29T02:30"), "bad_time", "/questions/1/window/0"),
    (put("questions", 1, "window", 1, value="2126-03-29T02:30"), "too_large", "/questions/1/window/1"),
    (put("questions", 0, "ask", value="why"), "schema", "/questions/0/ask"),
    (put("confirmed", value=[planned(), planned(id="other")]), "duplicate_id", "/confirmed/1/id"),
    (put("confirmed", value=[planned(id="b")]), "duplicate_id", "/enquiry/batches/0/id"),
    (put("confirmed", value=[{**planned(), "window": 5}]), "schema", "/confirmed/0/window"),
]


@pytest.mark.parametrize(("change", "code", "at"), WRONG, ids=[f"{code} {at}" for _, code, at in WRONG])
def test_an_error_has_its_code_and_place(change: Change, code: str, at: str) -> None:
    document = sound()
    change(document)
    assert errors(document) == [(code, f"scenario#{at}")]


OVERFULL: dict[str, Document] = {
    "more hands than there are": planned(count=2),
    "a step that ends too late": planned(
        plan=["2026-09-07T07:00", "2026-09-07T08:05", "2026-09-07T08:30"],
    ),
    "before anybody is there": planned(plan=["2026-09-07T05:30", "2026-09-07T06:30", "2026-09-07T07:30"]),
    "outside its window": planned(plan=["2026-09-07T08:30", "2026-09-07T09:30", "2026-09-07T09:30"]),
    "longer than it may be held": planned(plan=["2026-09-07T06:00", "2026-09-07T07:00", "2026-09-07T08:30"]),
}


@pytest.mark.parametrize("name", OVERFULL)
def test_a_plan_that_breaks_a_rule_itself_is_overfull(name: str) -> None:
    found = errors({**sound(), "confirmed": [OVERFULL[name]]})
    assert {code for code, _ in found} == {"overfull"}
    assert {at for _, at in found} == {"scenario#/confirmed/0/batches/0/plan"}


def test_what_is_taken_anyway_can_be_too_much_as_well() -> None:
    taken = {"resource": "oven", "amount": 1, "from": "2026-09-07T08:00", "to": "2026-09-07T09:00"}
    promised = [{"id": name, "fixed": True, "uses": [taken]} for name in ("A", "B")]
    assert errors({**sound(), "confirmed": promised}) == [("overfull", "scenario#/confirmed/1/uses/0")]


def test_all_errors_of_all_scenarios_are_said_at_once() -> None:
    one, two = sound(), sound()
    one["now"], one["extra"] = "soon", 1
    two["resources"]["oven"]["capacity"] = -1
    assert errors({"scenarios": [one, sound() | {"id": "own 2"}]}, two) == [
        ("schema", "scenario#/scenarios/0/extra"),
        ("schema", "scenario#/scenarios/0/now"),
        ("bad_span", "scenario#/resources/oven/capacity"),
    ]
    assert errors({"scenarios": [sound(), sound()]}) == [("duplicate_id", "scenario#/scenarios/1/id")]


def test_hours_of_a_date_that_the_clock_leaves_out_are_no_hours() -> None:
    document = sound()
    document["hours"].append({"date": "2026-03-29", "from": "02:30", "to": "09:00", "hands": 1})
    assert errors(document) == [("bad_time", "scenario#/hours/1/from")]


def test_the_command_prints_answers_or_errors(tmp_path: Path) -> None:
    good, bad = tmp_path / "good.json", tmp_path / "bad.json"
    good.write_text(json.dumps(sound()))
    bad.write_text("{")
    out, err = StringIO(), StringIO()
    call_command("plan", "--witness", str(good), stdout=out)
    (line,) = out.getvalue().splitlines()
    plan = json.loads(line)["answers"][0]["plan"]
    assert plan == {"b": ["2026-09-07T06:00", "2026-09-07T06:30", "2026-09-07T07:30", "2026-09-07T07:30"]}
    with pytest.raises(SystemExit) as stopped:
        call_command("plan", str(good), str(bad), str(tmp_path / "none.json"), stdout=out, stderr=err)
    assert stopped.value.code == 2
    assert [error["code"] for error in json.loads(err.getvalue())["errors"]] == ["schema", "schema"]
    assert len(out.getvalue().splitlines()) == 1
