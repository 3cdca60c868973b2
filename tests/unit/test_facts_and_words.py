"""Facts below, words at the edge: services and selectors give values, presenters and templates make sentences."""

import ast
import re
from collections.abc import Iterator
from pathlib import Path

from tests.each import each

ROOT = Path(__file__).parents[2]

#: Modules that make words, links or charts, and the writers of documents and mails. All others return facts.
EDGE = re.compile(r"(^|_)(presenters?|views?|forms?|urls|charts?|words|labels|mails|content)$")
EDGE_PACKAGES = (
    "catalog.web",
    "catalog.templatetags",
    "catalog.management",
    "orders.templatetags",
    "orders.documents",
    "orders.mail",
)
#: Data with names in it (not sentences): lists the kitchen chooses from, and how each status is called.
DATA = {
    "catalog.kitchen.duties",
    "catalog.pantry.allergens",
    "catalog.pantry.diets",
    "catalog.pantry.food_table",
    "catalog.price_rules.customer_kinds",
    "orders.records.states",
}
#: SQL, and what the database answers when it refuses: for the log, not for a page.
SQL = {
    *(f"orders.records.{name}" for name in ("immutable_rows", "rows_in_force", "trigger_sql")),
    "orders.invoices.running_sums",
    "orders.register.export_items",
}
TEXT = re.compile(r"[A-Za-z]{2,}[,;:.’']? [A-Za-z]{2,}")


def _facts() -> Iterator[tuple[str, Path]]:
    for app in ("catalog", "orders"):
        for path in sorted((ROOT / app).rglob("*.py")):
            module = ".".join(path.relative_to(ROOT).with_suffix("").parts)
            name = module.rpartition(".")[2]
            outside = (
                EDGE.search(name)
                or module.startswith(EDGE_PACKAGES)
                or name in ("models", "apps", "__init__", "checks_pango")
            )
            if not outside and ".migrations." not in module and module not in DATA | SQL:
                yield module, path


def _docstrings(tree: ast.Module) -> set[int]:
    return {
        id(node.value)
        for node in ast.walk(tree)
        if isinstance(node, ast.Expr) and isinstance(node.value, ast.Constant) and isinstance(node.value.value, str)
    }


def _logged(tree: ast.Module) -> set[int]:
    """Yield strings written to the log, which are not shown on a page."""
    calls = (node for node in ast.walk(tree) if isinstance(node, ast.Call) and isinstance(node.func, ast.Attribute))
    return {id(part) for call in calls if ast.unparse(call.func.value) in ("log", "logger") for part in ast.walk(call)}


def _words_in(tree: ast.Module) -> Iterator[str]:
    """Yield what reads like a sentence, a link or a picture."""
    skip = _docstrings(tree) | _logged(tree)
    for node in ast.walk(tree):
        if isinstance(node, ast.Constant) and isinstance(node.value, str) and id(node) not in skip:
            if TEXT.search(node.value) or "<svg" in node.value:
                yield f"{node.lineno}: {node.value[:60]!r}"
        elif isinstance(node, ast.ImportFrom) and (
            node.module == "django.urls" or (node.module or "").startswith("catalog.web")
        ):
            yield f"{node.lineno}: imports {node.module}"


FACTS = dict(_facts())


@each("module", sorted(FACTS))
def test_a_module_below_the_presenters_has_no_words(module: str) -> None:
    assert list(_words_in(ast.parse(FACTS[module].read_text()))) == []


VIEWS = {str(path.relative_to(ROOT)): path for app in ("catalog", "orders") for path in (ROOT / app).rglob("*views.py")}
#: What a module that begins a transaction imports.
_WRITES = re.compile(r"^from django\.db import .*\btransaction\b", re.MULTILINE)


@each("path", sorted(VIEWS))
def test_a_view_begins_no_transaction_because_services_write(path: str) -> None:
    assert _WRITES.search(VIEWS[path].read_text()) is None
