"""Docstrings of the chilling package name exactly the parameters there are, with units where there are numbers."""

from __future__ import annotations

import dataclasses
import importlib
import inspect
import pkgutil
from collections.abc import Iterator
from typing import Any

import costing.chilling
from tests.each import each
from tests.unit.costing.test_docstrings import parameters_named, parameters_of


def public_things() -> Iterator[tuple[str, Any]]:
    for found in pkgutil.iter_modules(costing.chilling.__path__):
        module = importlib.import_module(f"costing.chilling.{found.name}")
        for name, thing in vars(module).items():
            ours = not name.startswith("_") and getattr(thing, "__module__", None) == module.__name__
            if ours and (inspect.isfunction(thing) or inspect.isclass(thing)):
                yield f"{found.name}.{name}", thing


THINGS = dict(public_things())
WITHOUT_UNITS = {"lobatto", "cases"}


@each("name", sorted(THINGS))
def test_a_public_thing_describes_each_of_its_parameters(name: str) -> None:
    thing = THINGS[name]
    doc = inspect.getdoc(thing)
    assert doc, f"{name} has no docstring"
    assert not doc.startswith(f"{name.rpartition('.')[2]}("), f"{name} has no docstring"
    owner = [f.name for f in dataclasses.fields(thing)] if dataclasses.is_dataclass(thing) else parameters_of(thing)
    assert parameters_named(doc) == owner


@each("name", sorted(THINGS))
def test_a_number_says_its_unit_and_an_array_its_shape(name: str) -> None:
    doc = inspect.getdoc(THINGS[name]) or ""
    lines = [line.strip() for line in doc.splitlines()]
    section = lines.index("Parameters") if "Parameters" in lines else len(lines)
    for at, line in enumerate(lines[section:], section):
        if " : " in line and "ndarray" in line:
            assert "shape (" in line, line
        if " : float" in line and name.partition(".")[0] not in WITHOUT_UNITS:
            text = " ".join(lines[at + 1 : at + 4])
            assert "[" in text, line
