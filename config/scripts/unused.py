"""Names that nothing uses, found by vulture: ``unused.py`` prints them and exits 1.

Vulture reads Python only. This script adds the names that templates, settings and string annotations use, and those a
framework calls. A name used by tests only counts as unused.
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
    "verbose_name*": "Django's registry of apps and models",
    "Command": "manage.py",
    "add_arguments": "manage.py",
    "handle": "manage.py",
    "requires_system_checks": "manage.py",
    "process_*": "Django's middleware chain",
    "clean_*": "Django's forms, field by field",
    "expression": "an argument Django's fields are given",
    "as_sqlite": "Django's expressions",
    "as_postgresql": "Django's expressions",
    "output_field": "Django's expressions",
    "database_forwards": "Django's migrations",
    "to_state": "Django's migrations",
    "from_db_value": "Django's fields",
    "get_prep_value": "Django's fields",
    "run_validators": "Django's fields",
    "key_salt": "Django's tokens of links",
    "_result_cache": "Django's querysets",
    "_make_hash_value": "Django's tokens of links",
    "use_required_attribute": "Django's widgets",
    "token_generator": "Django's class-based views",
    "extra_context": "Django's class-based views",
    "first_name": "a column of Django's users",
    "last_name": "a column of Django's users",
    "cookie_name": "Django's notes for the next page",
    "storage_classes": "Django's notes for the next page",
    "form_class": "Django's class-based views",
    "form_valid": "Django's class-based views",
    "get_help_text": "Django's rules for passwords",
    "expire_date": "a column of Django's sessions",
    "get_model_class": "Django's stores of sessions",
    "fetch": "WeasyPrint",
    "StrOrPromise": "annotations in quotes",
    "_log_as_the_service": "Celery's signal",
    "_sign_links": "Celery's signal",
    "streaming_content": "Django's answers",
    "receive_data_chunk": "Django's parser of uploads",
    "file_complete": "Django's parser of uploads",
    "dst": "the arithmetic of moments",
    "_numerator": "the arithmetic of fractions",
    "_denominator": "the arithmetic of fractions",
    # What is set on a workbook or an archive is read by the library that writes the file.
    "creator": "openpyxl",
    "freeze_panes": "openpyxl",
    "data_type": "openpyxl",
    "quotePrefix": "openpyxl",
    "external_attr": "zipfile",
}
#: Modules whose classes are declarations that Django reads: pattern of the module's name -> what they declare.
DECLARED: Final = {
    "settings": "settings of Django and of its apps",
    "models": "columns, choices and Meta options, read by queries, forms and the immutable rows",
    "*forms": "fields, Meta options and the options of formsets",
}
#: Names of this project that are used: pattern -> by what.
OURS: Final = {
    "CODES": "tests compare them with the published tables of errors",
    "install": "migrations put the triggers back",
    "override_at": "a column of the record, kept as evidence",
}
#: Modules whose methods are called by a name computed at run time.
FOUND_BY_NAME: Final = {
    "costing/contract/schema_compiler.py": "a check is found by its keyword of JSON Schema",
    "config/gunicorn_settings.py": "Gunicorn reads its settings by their names",
}
#: Decorators that register a function with its caller.
CALLED_LATER: Final = ["@register", "@shared_task"]


def main() -> int:
    """Print unused names, and entries of the lists above that excuse nothing."""
    missing = [name for name in (*PRODUCT, *FOUND_BY_NAME) if not (ROOT / name).exists()]
    reasons = [(item, set(_excuses(item))) for item in _unused()]
    used = {reason for _, found in reasons for reason in found}
    needless = sorted({*FRAMEWORK, *OURS, *DECLARED, *FOUND_BY_NAME} - used)
    lines = [f"not there: {', '.join(missing)}"] * bool(missing)
    lines += [f"excused without need: {', '.join(needless)}"] * bool(needless)
    lines = [f"{Path(__file__).name}: {line}" for line in lines]
    lines += [str(item.get_report()) for item, found in reasons if not found]
    sys.stdout.write("".join(f"{line}\n" for line in lines))
    return int(bool(lines))


def _unused() -> list[Item]:
    finder = Vulture(ignore_decorators=CALLED_LATER)
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


def _excuses(item: Item) -> Iterator[str]:
    """Yield the entries of the lists above that excuse a name."""
    module = Path(item.filename).relative_to(ROOT)
    yield from (pattern for pattern in (*FRAMEWORK, *OURS) if fnmatchcase(item.name, pattern))
    yield from (pattern for pattern in FOUND_BY_NAME if module == Path(pattern))
    if item.typ == "variable":
        yield from (pattern for pattern in DECLARED if fnmatchcase(module.stem, pattern))


if __name__ == "__main__":
    sys.exit(main())
