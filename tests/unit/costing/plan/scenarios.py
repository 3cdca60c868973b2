"""Scenarios in few words, for tests."""

from __future__ import annotations

import json
from typing import Any

from costing.plan.cases import scenario_answers

Document = dict[str, Any]
ALL_DAYS = ["Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun"]


def step(name: str, least: int, longest: int | None = None, /, temp: float | None = None, **uses: int) -> Document:
    found: Document = {"name": name, "min": least, "max": least if longest is None else longest, "uses": uses}
    return found if temp is None else {**found, "temp": temp}


def hours(begin: str, end: str, hands: int, *, days: list[str] | None = None, date: str = "") -> Document:
    when = {"date": date} if date else {"days": days or ALL_DAYS}
    return {**when, "from": begin, "to": end, "hands": hands}


def scenario(now: str, batches: list[Document], questions: list[Document], **more: Any) -> Document:
    """A kitchen that is open from 06:00 to 14:00 with two people, unless it says otherwise."""
    return {
        "id": "own",
        "timezone": "Europe/Berlin",
        "now": now,
        "hours": [hours("06:00", "14:00", 2)],
        "resources": {
            "oven": {"kind": "oven", "capacity": 1, "tolerance": 10},
            "fridge": {"kind": "refrigerator", "capacity": 10},
            "rack": {"kind": "rack", "capacity": 10},
        },
        "confirmed": [],
        "enquiry": {"batches": batches},
        "questions": questions,
        **more,
    }


def answers(document: Document, *, plans: bool = False) -> list[Document]:
    (found,) = scenario_answers([("own", json.dumps(document))], plans=plans)
    answered: list[Document] = found["answers"]
    return answered


def answer(document: Document) -> Any:
    """The answer to the only question."""
    (found,) = answers(document)
    assert "undecided" not in found
    return found["answer"]


EARLIEST: Document = {"ask": "earliest_ready"}


def latest(window: str) -> Document:
    return {"ask": "latest_start", "window": [window, window]}


def feasible(begin: str, end: str = "", *, replan: bool = True) -> Document:
    return {"ask": "feasible", "window": [begin, end or begin], "replan": replan}
