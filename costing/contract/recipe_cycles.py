"""Recipes that need themselves, directly or through others."""

from __future__ import annotations

from collections.abc import Iterable

from costing.contract.errors import Path
from costing.contract.problems import Problems

Reference = tuple[Path, str, str]
"""Place of a line's `recipe`, the recipe it stands in, the recipe it names."""


def check_cycles(found: Problems, references: Iterable[Reference]) -> None:
    """Find recipes that need themselves, and report each loop at every reference in it.

    Parameters
    ----------
    found : Problems
        Where errors go.
    references : iterable of (path, str, str)
        Place of a line's `recipe`, the recipe it stands in, the recipe it names.
    """
    references = tuple(references)
    uses: dict[str, list[str]] = {}
    for _, user, used in references:
        uses.setdefault(user, []).append(used)
    components = _components(uses)
    for path, user, used in references:
        if user in components and components.get(used) == components[user]:
            found.report("recipe_cycle", path, "recipe_cycle", recipes=(user, *_shortest_path(uses, used, user)))


def _components(uses: dict[str, list[str]]) -> dict[str, int]:
    """Return each recipe on a loop the number of its strongly connected component (Tarjan 1972, iterative)."""
    number: dict[str, int] = {}
    low: dict[str, int] = {}
    components: dict[str, int] = {}
    stack: list[str] = []
    for root in uses:
        if root in number:
            continue
        number[root] = low[root] = len(number)
        stack.append(root)
        work = [(root, iter(uses[root]))]
        while work:
            node, rest = work[-1]
            following = next(rest, None)
            if following is None:
                work.pop()
                if work:
                    low[work[-1][0]] = min(low[work[-1][0]], low[node])
                _close_component(node, number, low, stack, components, uses)
            elif following not in number:
                number[following] = low[following] = len(number)
                stack.append(following)
                work.append((following, iter(uses.get(following, ()))))
            elif following in stack:
                low[node] = min(low[node], number[following])
    return components


def _close_component(
    node: str,
    number: dict[str, int],
    low: dict[str, int],
    stack: list[str],
    components: dict[str, int],
    uses: dict[str, list[str]],
) -> None:
    if low[node] != number[node]:
        return
    cut = stack.index(node)
    members = stack[cut:]
    del stack[cut:]
    if len(members) > 1 or node in uses.get(node, ()):
        components.update(dict.fromkeys(members, number[node]))


def _shortest_path(uses: dict[str, list[str]], start: str, end: str) -> list[str]:
    """Find the shortest path from one recipe to another along the recipes they use."""
    came: dict[str, str | None] = {start: None}
    queue = [start]
    for node in queue:
        if node == end:
            break
        for used in uses.get(node, ()):
            if used not in came:
                came[used] = node
                queue.append(used)
    path: list[str] = []
    step: str | None = end
    while step is not None:
        path.append(step)
        step = came[step]
    return path[::-1]
