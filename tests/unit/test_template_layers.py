"""Templates keep to the layers of the code: those of the catalog know nothing of orders."""

import re
from pathlib import Path

from tests.each import each

ROOT = Path(__file__).parents[2]
LOWER = {"catalog": "orders", "parts": "orders"}
LOWER_TEMPLATES = sorted(path for folder in LOWER for path in (ROOT / "templates" / folder).rglob("*.html"))


def libraries(app: str) -> set[str]:
    return {path.stem for path in (ROOT / app / "templatetags").glob("*.py")} - {"__init__"}


@each("path", LOWER_TEMPLATES, ids=lambda path: str(path.relative_to(ROOT / "templates")))
def test_a_template_below_orders_uses_nothing_of_orders(path: Path) -> None:
    text = path.read_text(encoding="utf-8")
    loaded = {name for tag in re.findall(r"\{% load (.*?) %\}", text) for name in tag.split()}
    used = re.findall(r"\{% (?:include|extends) \"([^\"]+)\"", text)
    assert not loaded & libraries("orders")
    assert not [name for name in used if name.startswith("orders/")]


def test_the_libraries_of_orders_are_found() -> None:
    assert libraries("orders")
    assert LOWER_TEMPLATES
