"""One word has one spelling on every screen, in mails, documents and the README."""

import ast
import re
from collections.abc import Iterator
from pathlib import Path

from catalog.kitchen.forms import ProfileForm
from orders.inquiries.forms import CustomerForm

ROOT = Path(__file__).parent.parent.parent
#: The word by itself; not an address, a name in code or a part of one.
EMAIL = re.compile(r"(?<![-\w./{\"'@])email(?![-\w.@=/\"'(:])", re.IGNORECASE)
#: Django's own sentences, which `form_errors.py` replaces.
REPLACED = "Enter a valid email address."
CODE = re.compile(r"\{%.*?%\}|\{\{.*?\}\}|\{#.*?#\}|<[^>]*>", re.DOTALL)


def _sentences(path: Path) -> Iterator[str]:
    """Yield the texts of a module that have more than one word, without docstrings."""
    tree = ast.parse(path.read_text())
    notes = {id(node.value) for node in ast.walk(tree) if isinstance(node, ast.Expr)}
    for node in ast.walk(tree):
        text = node.value if isinstance(node, ast.Constant) and id(node) not in notes else None
        if isinstance(text, str) and (" " in text or text == "Email") and text != REPLACED:
            yield text


def test_e_mail_has_a_hyphen_wherever_people_read_it() -> None:
    found = [
        f"{path.relative_to(ROOT)}: {text}"
        for path in [*(ROOT / "templates").rglob("*.html"), *(ROOT / "templates").rglob("*.txt")]
        for text in CODE.sub(" ", path.read_text()).splitlines()
        if EMAIL.search(text)
    ]
    found += [
        f"{path.relative_to(ROOT)}: {text}"
        for app in ("catalog", "orders", "config", "costing")
        for path in (ROOT / app).rglob("*.py")
        if "migrations" not in path.parts
        for text in _sentences(path)
        if EMAIL.search(text)
    ]
    found += [line for line in (ROOT / "README.md").read_text().splitlines() if EMAIL.search(line)]
    assert found == []


def test_labels_that_come_from_a_columns_name_have_it_too() -> None:
    labels = [str(field.label) for form in (ProfileForm, CustomerForm) for field in form.base_fields.values()]
    assert [label for label in labels if EMAIL.search(label)] == []
