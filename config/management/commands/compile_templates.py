"""Compiles every template, so that a wrong tag is found before a page is opened."""

from pathlib import Path
from typing import Any

from django.apps import apps
from django.conf import settings
from django.core.management.base import BaseCommand, CommandError
from django.template import TemplateSyntaxError
from django.template.loader import get_template


class Command(BaseCommand):
    """Part of `make check`."""

    help = "Compile every template of the project."

    def handle(self, *args: Any, **options: Any) -> None:
        """Load each template and name those that do not compile."""
        names = sorted(_names())
        failures = [failure for name in names if (failure := _failure(name))]
        if failures:
            raise CommandError("\n".join(failures))
        self.stdout.write(f"{len(names)} templates compile.")


def _names() -> set[str]:
    base: Path = settings.BASE_DIR
    own = [Path(app.path) / "templates" for app in apps.get_app_configs() if Path(app.path).parent == base]
    roots = [base / "templates", *own]
    return {str(path.relative_to(root)) for root in roots for path in root.rglob("*") if path.is_file()}


def _failure(name: str) -> str:
    try:
        get_template(name)
    except (TemplateSyntaxError, UnicodeDecodeError) as error:
        return f"{name}: {error}"
    return ""
