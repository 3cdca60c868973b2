"""Names that nothing uses, found by vulture: ``unused.py`` prints them and exits 1.

Vulture reads Python only. It is told here what templates, settings and string annotations use, and which names a
framework calls. What tests alone use counts as unused.
"""

import ast
import re
import sys
from collections.abc import Iterator
from fnmatch import fnmatchcase
from pathlib import Path
from typing import Final

from vulture import Vulture
from vulture.core import Item

ROOT: Final = Path(__file__).parents[2]
PRODUCT: Final = ("catalog", "config", "costing", "orders", "manage.py")
CONFIDENCE: Final = 60

#: Names that a framework calls or reads: pattern of the name -> who does.
FRAMEWORK: Final = {
    "Meta": "Django's models and forms",
    "urlpatterns": "Django's resolver",
    "handler[45]0?": "Django's resolver",
    "application": "WSGI and ASGI servers",
    "*Config": "Django's registry of apps",
    "default_auto_field": "Django's registry of apps",
    "verbose_name*": "Django's registry of apps and models",
    "Command": "manage.py",
    "add_arguments": "manage.py",
    "handle": "manage.py",
    "help": "manage.py",
    "requires_system_checks": "manage.py",
    "process_*": "Django's middleware chain",
    "clean_*": "Django's forms, field by field",
    "has_*_permission": "the admin",
    "actions": "the admin",
    "list_per_page": "the admin",
    "show_full_result_count": "the admin",
    "site_header": "the admin",
    "site_title": "the admin",
    "obj": "an argument the admin gives",
    "expression": "an argument Django's fields are given",
    "from_db_value": "Django's fields",
    "get_prep_value": "Django's fields",
    "run_validators": "Django's fields",
    "disabled": "Django's fields",
    "use_required_attribute": "Django's widgets",
    "initial_form_count": "Django's formsets",
    "frac_prec": "Babel's patterns",
    "fetch": "WeasyPrint",
    "level": "the HTML parser",
    "msg": "a log record",
    # What is set on a workbook or an archive is read by the library that writes the file.
    "creator": "openpyxl",
    "created": "openpyxl",
    "freeze_panes": "openpyxl",
    "data_type": "openpyxl",
    "quotePrefix": "openpyxl",
    "number_format": "openpyxl",
    "compress_type": "zipfile",
    "external_attr": "zipfile",
}
#: Attributes of classes that Django reads; only inside the folders named.
DATA: Final = {
    "models": "columns and choices are data: read by queries, forms, the admin and the frozen rows",
    "forms": "fields and formset options are read by Django",
}
#: Names of our own that something does use: pattern -> what.
OURS: Final = {
    "_[a-z]*": "a check is found by its keyword of JSON Schema",
    "CODES": "tests compare them with the published tables of errors",
    "forget": "tests and benchmarks exchange the database under the process",
    "install": "migrations put the triggers back",
    "override_at": "a column of the record, shown in the admin",
    "override_by": "a column of the record, shown in the admin",
}
#: FOUND AND NOT YET TAKEN OUT. Nothing but tests uses these. Take them out, or use them, and delete them here.
DEAD: Final = frozenset(
    {
        "MINUTE",
        "Refusal",
        "age_of",
        "check_book",
        "closed_days",
        "content_of_order",
        "earliest_ready",
        "hours_by_weekday",
        "kept_slow",
        "money_text",
        "packs_in_force",
        "round_money",
        "with_discount",
    }
)


def main() -> int:
    """Print what nothing uses and what the list above names in vain."""
    found = [item for item in _unused() if not _excused(item)]
    names = {str(item.name) for item in found}
    for item in found:
        if item.name not in DEAD:
            sys.stdout.write(item.get_report() + "\n")
    vain = sorted(DEAD - names)
    if vain:
        sys.stdout.write(f"{Path(__file__).name}: no longer unused, take it off DEAD: {', '.join(vain)}\n")
    return int(bool(vain or names - DEAD))


def _unused() -> list[Item]:
    finder = Vulture(ignore_decorators=["@register"])
    finder.scavenge([str(ROOT / name) for name in PRODUCT], exclude=["*/migrations/*"])
    for name in (*_in_templates(), *_in_strings()):
        finder.used_names.add(name)
    return list(finder.get_unused_code(min_confidence=CONFIDENCE))


def _in_templates() -> Iterator[str]:
    """Yield every word of a template's tags and variables."""
    for path in (ROOT / "templates").rglob("*"):
        if path.is_file():
            for inside in re.findall(r"\{[{%](.*?)[%}]\}", path.read_text(encoding="utf-8"), re.DOTALL):
                yield from re.findall(r"[A-Za-z_]\w*", inside)


def _in_strings() -> Iterator[str]:
    """Yield the parts of dotted paths, and the words of annotations written as text."""
    for path in _files():
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            text = node.value if isinstance(node, ast.Constant) and isinstance(node.value, str) else ""
            if re.fullmatch(r"[a-z_]+(\.\w+)+|\w+\[[\w\[\], ]+\]", text):
                yield from re.findall(r"\w+", text)


def _files() -> Iterator[Path]:
    for name in PRODUCT:
        top = ROOT / name
        yield from (top,) if top.is_file() else top.rglob("*.py")


def _excused(item: Item) -> bool:
    folders = Path(item.filename).parts
    if item.typ == "variable" and (folders[-1] == "settings.py" or any(folder in DATA for folder in folders)):
        return True
    return any(fnmatchcase(item.name, pattern) for pattern in (*FRAMEWORK, *OURS))


if __name__ == "__main__":
    sys.exit(main())
