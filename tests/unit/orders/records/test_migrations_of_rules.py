"""A migration that alters a table with rules puts its triggers aside first and makes them anew at its end."""

from importlib import import_module
from pathlib import Path
from typing import Any

from django.db.migrations import operations
from django.db.migrations.operations.base import Operation

import orders.migrations
from orders.records.immutable_rows import install, remove, rules
from tests.each import each

GUARDED = {model._meta.model_name for model, _ in rules()}
#: Tables that the triggers of others look into: those triggers would be in the way.
LOOKED_INTO = {"quote", "invoice", "auditentry", "order"}
#: Operations for which SQLite makes a table anew.
ALTER = (
    operations.AddField,
    operations.AlterField,
    operations.RemoveField,
    operations.RenameField,
    operations.AddConstraint,
    operations.RemoveConstraint,
    operations.AlterModelTable,
    operations.RenameModel,
)
NAMES = sorted(path.stem for path in Path(orders.migrations.__file__ or "").parent.glob("0*.py"))


def _runs(operation: Operation, code: Any) -> bool:
    return isinstance(operation, operations.RunPython) and operation.code is code


@each("name", NAMES)
def test_triggers_are_aside_while_a_table_with_rules_is_altered(name: str) -> None:
    steps = import_module(f"orders.migrations.{name}").Migration.operations
    made_here = {step.name_lower for step in steps if isinstance(step, operations.CreateModel)}
    altered = {step.model_name_lower for step in steps if isinstance(step, ALTER) and hasattr(step, "model_name_lower")}
    last = max((place for place, step in enumerate(steps) if isinstance(step, ALTER)), default=0)
    if altered & (GUARDED - made_here):
        assert any(_runs(step, install) for step in steps[last:]), "end with Rules(install, remove)"
    if altered & (LOOKED_INTO - made_here):
        assert _runs(steps[0], remove), "begin with Rules(remove, install)"
