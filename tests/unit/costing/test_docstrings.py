"""Docstrings of the computation name exactly the parameters there are."""

from __future__ import annotations

import dataclasses
import importlib
import inspect
import pkgutil
import re
from collections.abc import Callable, Iterator
from types import ModuleType
from typing import Any

import costing
from tests.each import each


def modules() -> Iterator[ModuleType]:
    for found in pkgutil.walk_packages(costing.__path__, "costing."):
        yield importlib.import_module(found.name)


def public_things() -> Iterator[tuple[str, Any]]:
    """Every public function and class, and every public method of its own, by its full name."""
    for module in modules():
        for name, thing in vars(module).items():
            if name.startswith("_") or getattr(thing, "__module__", None) != module.__name__:
                continue
            if inspect.isfunction(thing) or inspect.isclass(thing):
                yield f"{module.__name__}.{name}", thing
            if inspect.isclass(thing):
                yield from ((f"{module.__name__}.{name}.{key}", one) for key, one in methods(thing))


def methods(kind: type) -> Iterator[tuple[str, Callable[..., Any]]]:
    for key, member in vars(kind).items():
        plain = member.__func__ if isinstance(member, classmethod | staticmethod) else member
        if inspect.isfunction(plain) and not key.startswith("_"):
            yield key, plain


THINGS = dict(public_things())
#: Packages whose own tests hold their units, or that count in minutes.
ELSEWHERE = ("costing.chilling", "costing.timing")


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


@each("name", sorted(THINGS))
def test_a_public_thing_is_described_with_its_own_parameters(name: str) -> None:
    thing = THINGS[name]
    doc = inspect.getdoc(thing)
    assert doc, f"{name} has no docstring"
    # A generated docstring starts with the class's own name and signature.
    assert not doc.startswith(f"{name.rpartition('.')[2]}("), f"{name} has no docstring"
    named = parameters_named(doc)
    if inspect.isclass(thing):
        # A small record or an error may say in its first sentence what it is made of.
        assert named in ([], fields_of(thing))
    else:
        assert named == parameters_of(thing)


def fields_of(kind: type) -> list[str]:
    if dataclasses.is_dataclass(kind):
        return [field.name for field in dataclasses.fields(kind) if field.init and not field.name.startswith("_")]
    return parameters_of(kind)


@each("name", sorted(name for name in THINGS if not name.startswith(ELSEWHERE)))
def test_an_exact_number_says_its_unit_or_what_it_may_be(name: str) -> None:
    """[g], [currency], [share], ...; helpers of arithmetic take any number and say so."""
    lines = [line.strip() for line in (inspect.getdoc(THINGS[name]) or "").splitlines()]
    for at, line in enumerate(lines):
        if re.search(r"^\w[\w, ]* : (Fraction|Decimal)\b", line):
            text = " ".join(lines[at + 1 : at + 4])
            assert "[" in text or "ny " in text or "number" in text, f"{name}: {line}"
