"""The cases computed apart from this project, and what of an answer differs from them."""

from __future__ import annotations

import json
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from costing.chilling import answer, read_case

HERE = Path(__file__).parent
CASES: list[dict[str, Any]] = json.loads((HERE / "chilling_cases.json").read_text())["cases"]
VALUES: dict[str, Any] = json.loads((HERE / "chilling_values.json").read_text())

_EXACT = 1e-12
_TEMPERATURES = ("centre_c", "core_c", "mean_c", "peak_c")


def answered(case: dict[str, Any]) -> dict[str, Any]:
    read, cooked = read_case(case["inputs"])
    return answer(read, cooked=cooked)


def tolerance(path: tuple[str, ...], expected: float) -> float:
    """Return how far a number may lie off, as the cases' own meta block says."""
    if path[0] == "properties":
        return 0.002 * abs(expected)
    if path[0] in _TEMPERATURES or "peak_c" in path:
        return 0.3
    if path[0] == "core_height_mm_above_base_at":
        return 1.0
    if path[0] == "food_code_margin_min_fraction":
        return 0.01
    if "stage" in path or path[-1] in ("start_c", "stage_index", "starts_at_minute") or path[0] == "at_minutes":
        return _EXACT
    return max(0.5, 0.1 * abs(expected)) if path[-1] == "edge_top_rim" else max(1.0, 0.01 * abs(expected))


def leaves(value: Any, path: tuple[str, ...] = ()) -> Iterator[tuple[tuple[str, ...], Any]]:
    pairs = value.items() if isinstance(value, dict) else enumerate(value) if isinstance(value, list) else None
    if pairs is None:
        yield path, value
        return
    for key, inner in pairs:
        yield from leaves(inner, (*path, str(key)))


def differences(got: dict[str, Any], expected: dict[str, Any]) -> list[str]:
    """List what lies beyond tolerance, or is there in one of them only."""
    here, there = dict(leaves(got)), dict(leaves(expected))
    wrong = [f"{path}: only in one" for path in here.keys() ^ there.keys()]
    for path in here.keys() & there.keys():
        if not _alike(path, here[path], there[path]):
            wrong.append(f"{'/'.join(path)}: {here[path]} instead of {there[path]}")
    return wrong


def _alike(path: tuple[str, ...], got: Any, expected: Any) -> bool:
    plain = isinstance(expected, int | float) and not isinstance(expected, bool)
    if not plain or got is None or isinstance(got, bool):
        return type(got) is type(expected) and bool(got == expected)
    return abs(float(got) - float(expected)) <= tolerance(path, expected)
