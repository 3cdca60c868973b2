"""Docstrings of the computation name exactly the parameters there are."""

from __future__ import annotations

import dataclasses
import importlib
import inspect
import pkgutil
import re
from collections.abc import Callable, Iterator
from typing import Any

import pytest

import costing


def public_things() -> Iterator[tuple[str, Any]]:
    for found in pkgutil.walk_packages(costing.__path__, "costing."):
        module = importlib.import_module(found.name)
        for name, thing in vars(module).items():
            if name.startswith("_") or getattr(thing, "__module__", None) != module.__name__:
                continue
            if inspect.isfunction(thing) or inspect.isclass(thing):
                yield f"{found.name.rpartition('.')[2]}.{name}", thing


THINGS = dict(public_things())


def parameters_named(doc: str) -> list[str]:
    section = re.search(r"^\s*Parameters\n\s*-+\n(.*?)(?=^\s*\w[\w ]*\n\s*-{3,}|\Z)", doc, re.DOTALL | re.MULTILINE)
    if section is None:
        return []
    lines = section[1].splitlines()
    margin = min((len(line) - len(line.lstrip()) for line in lines if line.strip()), default=0)
    names = [
        line.strip().partition(" :")[0] for line in lines if line.strip() and len(line) - len(line.lstrip()) == margin
    ]
    return [part.strip("* ") for name in names for part in name.split(",")]


def parameters_of(thing: Callable[..., Any]) -> list[str]:
    return [name for name in inspect.signature(thing).parameters if name not in ("self", "cls")]


@pytest.mark.parametrize("name", sorted(THINGS))
def test_a_public_thing_is_described_with_its_own_parameters(name: str) -> None:
    thing = THINGS[name]
    doc = inspect.getdoc(thing)
    assert doc, f"{name} has no docstring"
    # A generated docstring starts with the class's own name and signature.
    assert not doc.startswith(f"{name.rpartition('.')[2]}("), f"{name} has no docstring"
    named = parameters_named(doc)
    if named:
        owner = (
            [f.name for f in dataclasses.fields(thing) if f.init and not f.name.startswith("_")]
            if dataclasses.is_dataclass(thing)
            else parameters_of(thing)
        )
        assert named == owner


def test_functions_with_arguments_say_what_they_are() -> None:
    entry_points = [
        "engine.estimate",
        "estimate_writer.write_estimate",
        "allocation.allocate",
        "pack_search.PackShelf",
        "portions.portions_for_guests",
        "windows.check_window",
        "schedule.latest_start",
        "spelling.normalise_measure",
        "explain.explain",
    ]
    for name in entry_points:
        assert parameters_named(inspect.getdoc(THINGS[name]) or ""), name
