"""What importing recipes would do: new ones, changed ones, and those that wait for a row of their own or of another."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from decimal import Decimal
from typing import Any, Final

from catalog.kitchen.selectors import kitchen
from catalog.recipes.models import Recipe, RecipeLine
from catalog.recipes.selectors import recipes_whole
from catalog.recipes.services import loop_from
from catalog.records.numbers import number_format
from catalog.records.reasons import Reason
from catalog.spreadsheets.columns import Line
from catalog.spreadsheets.known import Pantry, labelled
from catalog.spreadsheets.plan import WRITTEN, Answers, Item, Plan
from catalog.spreadsheets.recipe_rows import LineRead, RecipeRead, RecipeReader
from catalog.spreadsheets.recipe_yields import yields_used
from costing.measures.measure import MeasureError, parse_measure

#: Most loops that are named, and most recipes of one.
_MOST_LOOPS: Final = 20
_MOST_NAMED: Final = 8


@dataclass(slots=True)
class RecipeContent:
    """What is written of a recipe: its rows as read, the stored recipe if there is one, the columns that change."""

    read: RecipeRead
    stored: Recipe | None = None
    columns: dict[str, Any] = field(default_factory=dict)
    #: Whether its lines are written, and its steps: a recipe's own steps are never replaced.
    lines: bool = True
    steps: list[str] = field(default_factory=list)

    @property
    def makes_otherwise(self) -> bool:
        """Whether what goes in, its loss or its steps change."""
        return self.lines or bool(self.steps) or "loss" in self.columns


def recipes_plan(lines: Sequence[Line], answers: Answers, lock: bool) -> Plan:
    """Return what importing rows of recipes would do; with ``lock`` all recipes are locked first."""
    if lock:
        list(Recipe.objects.select_for_update(no_key=True).order_by("pk").values_list("pk"))
    plan, stored = Plan(), labelled(recipes_whole())
    reader = RecipeReader(plan, Pantry(), stored, answers, number_format(kitchen().locale))
    read = reader.read(lines)
    yields_used(plan, read, reader.written)
    _check_loops(plan, read, stored)
    names = {one.pk: name for name, one in stored.items()}
    items = {}
    for name, recipe in read.items():
        items[name] = item = Item(recipe.name, recipe.rows, content=RecipeContent(recipe, stored.get(name)))
        if plan.open_rows_of(recipe.rows):
            item.change = "waits"
        else:
            _fill(plan, item, names)
    _wait(plan, items, stored)
    plan.items = [item for item in items.values() if item.name]
    return plan


def _check_loops(plan: Plan, read: Mapping[str, RecipeRead], stored: Mapping[str, Recipe]) -> None:
    """Name every loop in which a recipe would need itself, at the lines that close it."""
    label_of = {one.pk: name for name, one in stored.items()}
    uses = {name: [label_of[pk] for pk in _components(recipe)] for name, recipe in stored.items()}
    uses |= {name: [line.recipe for line in recipe.lines if line.recipe] for name, recipe in read.items()}
    names = {name: recipe.name for name, recipe in stored.items()} | {name: one.name for name, one in read.items()}
    for _ in range(_MOST_LOOPS):
        uses = on_loops(uses)
        loop = next((loop for name in read if name in uses and (loop := loop_from(uses, name))), [])
        if not loop:
            return
        closes = [line for line in read[loop[0]].lines if line.recipe == loop[1]]
        shown = [names[one] for one in loop]
        shown = shown if len(shown) <= _MOST_NAMED else [*shown[:_MOST_NAMED], "…", shown[-1]]
        for line in closes:
            plan.problem(line.row, "ingredient", "loop", names=shown)
        uses[loop[0]] = [one for one in uses[loop[0]] if one != loop[1]]
    for name in on_loops(uses).keys() & read.keys():
        plan.problem(read[name].rows[0], "ingredient", "more_loops")


def on_loops(uses: Mapping[str, Iterable[str]]) -> dict[str, list[str]]:
    """Return the recipes that are on a loop or lead to one, with those of them that each uses."""
    waiting = {name: {used for used in some if used in uses} for name, some in uses.items()}
    users: dict[str, list[str]] = {}
    for name, some in waiting.items():
        for used in some:
            users.setdefault(used, []).append(name)
    free = [name for name, some in waiting.items() if not some]
    while free:
        name = free.pop()
        del waiting[name]
        for user in users.get(name, ()):
            waiting[user].discard(name)
            if not waiting[user]:
                free.append(user)
    return {name: [used for used in uses[name] if used in waiting] for name in waiting}


def _components(recipe: Recipe) -> list[int]:
    return [line.component_id for line in recipe.lines.all() if line.component_id]


def _fill(plan: Plan, item: Item, names: Mapping[int, str]) -> None:
    content: RecipeContent = item.content
    read = content.read
    if content.stored is not None:
        _compare(item, content, content.stored, names)
        return
    if not read.lines:
        plan.problem(read.rows[0], "ingredient", "no_lines", name=read.name)
        item.change = "waits"
    content.columns = _columns(read, Recipe())
    content.steps = steps_read(read.head.get("steps", ""))
    item.details.append(Reason("lines", {"lines": [_line_text(line) for line in read.lines]}))
    item.details += filter(None, [read.yields])


def _line_text(line: LineRead) -> list[str]:
    """Return an amount in the exact grammar, and what it is of."""
    return [line.amount, line.good.subject.name if line.good else line.spelled]


def _compare(item: Item, content: RecipeContent, stored: Recipe, names: Mapping[int, str]) -> None:
    read = content.read
    before, after = (
        [_stored_line(line, names) for line in stored.lines.all()],
        [_read_line(line) for line in read.lines],
    )
    content.lines = bool(read.lines) and [one[1:] for one in before] != [one[1:] for one in after]
    if content.lines:
        item.details += _line_changes(before, after)
    content.columns = _columns(read, stored)
    item.details += (Reason(f"column_{key}") for key in content.columns)
    if not stored.steps.all():
        content.steps = steps_read(read.head.get("steps", ""))
    if content.steps:
        item.details.append(Reason("steps", {"n": len(content.steps)}))
    if stored.shelf_stable and content.makes_otherwise:
        item.details.append(Reason("claim_taken_back"))
    item.change = "change" if item.details else "same"
    if item.details and read.yields:
        item.details.append(read.yields)


#: Name, key, amount and unit of a line.
Compared = tuple[str, Any, Any]


def _stored_line(line: RecipeLine, names: Mapping[int, str]) -> Compared:
    key: Any = ("recipe", names[line.component_id]) if line.component_id else (line.ingredient_id, line.part_id)
    return str(line.part or line.ingredient or line.component), key, _measured(line.amount)


def _read_line(line: Any) -> Compared:
    key: Any = line.good.key if line.good else ("recipe", line.recipe)
    return (line.good.subject.name if line.good else line.spelled), key, _measured(line.amount)


def _measured(amount: str) -> Any:
    try:
        measure = parse_measure(amount)
    except MeasureError:
        return amount
    return measure.amount, measure.unit


def _line_changes(before: Iterable[Compared], after: Iterable[Compared]) -> list[Reason]:
    old, new = {one[1]: one for one in before}, {one[1]: one for one in after}
    found = {
        "lines_added": [one[0] for key, one in new.items() if key not in old],
        "lines_removed": [one[0] for key, one in old.items() if key not in new],
        "amounts": [one[0] for key, one in new.items() if key in old and old[key][2] != one[2]],
    }
    reasons = [Reason(code, {"names": names}) for code, names in found.items() if names]
    return reasons or [Reason("order")]


def _columns(read: RecipeRead, stored: Recipe) -> dict[str, Any]:
    """Return the columns that a recipe's rows change; an empty cell changes nothing."""
    found: dict[str, Any] = {}
    if read.loss is not None and read.loss != stored.loss:
        found["loss"] = read.loss
    for key in ("batch_limit", "batch_min"):
        if key in read.head and _measured(read.head[key]) != _measured(getattr(stored, key)):
            found[key] = read.head[key]
    wanted = note_read(read)
    if wanted and one_text(stored.note) != wanted:
        missing = [text for text in wanted.split("\n") if text not in one_text(stored.note).split("\n")]
        if "recipe_note" in read.head:
            found["note"] = wanted
        elif missing:
            found["note"] = "\n".join(filter(None, [one_text(stored.note), *missing]))
    return found


def note_read(read: RecipeRead) -> str:
    """Return a recipe's note: its own, then what its lines and its yield say."""
    more = [f"Yield: {read.head['yield']}"] if "yield" in read.head else []
    return one_text(
        "\n".join([*([read.head["recipe_note"]] if "recipe_note" in read.head else []), *more, *read.notes])
    )


def one_text(text: str) -> str:
    """Return a text of several lines with plain line ends, and nothing around it."""
    return "\n".join(text.splitlines()).strip()


def steps_read(text: str) -> list[str]:
    """Return the steps that a cell holds, one a line."""
    return [step for line in text.splitlines() if (step := " ".join(line.split()))]


def _wait(plan: Plan, items: Mapping[str, Item], stored: Mapping[str, Recipe]) -> None:
    """Let recipes wait that use another one of the file which waits and is not there yet."""
    users: dict[str, list[str]] = {}
    for name, item in items.items():
        for line in item.content.read.lines:
            users.setdefault(line.recipe, []).append(name)
    missing = [name for name, item in items.items() if item.change == "waits" and name not in stored]
    while missing:
        used = missing.pop()
        for name in users.get(used, ()):
            item = items[name]
            if item.change in WRITTEN:
                item.change, item.details = "waits", [Reason("waits_for", {"names": [items[used].name]})]
                if name not in stored:
                    missing.append(name)


def stored_before(recipe: Recipe) -> dict[str, Any]:
    """Return what undoing a change puts back, as JSON."""
    return {
        "columns": {
            "loss": str(recipe.loss),
            "batch_limit": recipe.batch_limit,
            "batch_min": recipe.batch_min,
            "note": recipe.note,
            "shelf_stable": recipe.shelf_stable,
        },
        "no_steps": not recipe.steps.all(),
        "lines": [[line.amount, line.ingredient_id, line.part_id, line.component_id] for line in recipe.lines.all()],
    }


def columns_back(before: Mapping[str, Any]) -> dict[str, Any]:
    """Return the columns that :func:`stored_before` held."""
    return {**before["columns"], "loss": Decimal(before["columns"]["loss"])}
