"""`manage.py estimate` with the kitchen's own Book, when the catalog or the database cannot give one."""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path

import pytest
from django.db import DatabaseError

from catalog.book import selectors as books
from catalog.book.services import book_import
from catalog.kitchen.models import Kitchen
from catalog.recipes.models import RecipeLine
from tests.contract.comparing import differences
from tests.contract.test_command import BOOK, BRIEF, ROOT, refused, run


def own_book() -> None:
    # The service opens its own durable transaction; inside a test's transaction its body is called as it is.
    book_import.__wrapped__(data=Path(BOOK).read_bytes())


@pytest.mark.django_db
def test_the_kitchens_own_book_gives_what_its_file_gives() -> None:
    own_book()
    code, out, err = run(BRIEF)
    assert (code, err) == (0, "")
    wanted = json.loads(Path(BRIEF.replace(".brief.", ".estimate.")).read_text())
    assert list(differences(json.loads(out), wanted)) == []


@pytest.mark.django_db
def test_every_error_of_the_catalog_is_reported_at_its_place() -> None:
    own_book()
    RecipeLine.objects.filter(recipe__code="set-cream").update(amount="two ladles")
    Kitchen.objects.update(waste="-1")
    errors = refused(BRIEF, "nowhere.json")
    found = [(error["code"], error["at"]) for error in errors]
    assert found[0] == ("bad_share", "book#/kitchen/waste")
    lines = [at for code, at in found if code == "bad_measure"]
    assert len(lines) == RecipeLine.objects.filter(recipe__code="set-cream").count()
    assert all(at.startswith("book#/recipes/") and at.endswith("/amount") for at in lines)
    assert found[-1] == ("schema", "brief#")


@pytest.mark.django_db
def test_a_kitchen_that_is_not_set_up_says_what_to_do() -> None:
    Kitchen.objects.all().delete()
    books.forget()
    errors = refused(BRIEF)
    assert [(error["code"], error["at"]) for error in errors] == [("schema", "book#")]
    assert "--book" in errors[0]["message"]


def test_a_database_that_cannot_answer_is_no_traceback(monkeypatch: pytest.MonkeyPatch) -> None:
    def closed() -> int:
        raise DatabaseError("no such table: catalog_kitchen")

    monkeypatch.setattr(books, "book_revision", closed)
    errors = refused(BRIEF)
    assert [(error["code"], error["at"]) for error in errors] == [("schema", "book#")]
    assert "migrate" in errors[0]["message"]


@pytest.mark.parametrize("command", [["estimate", BRIEF], ["book", "export", "-"], ["book", "import", BOOK]])
def test_without_a_database_every_command_says_so(tmp_path: Path, command: list[str]) -> None:
    done = subprocess.run(
        [sys.executable, "manage.py", *command],
        cwd=ROOT,
        capture_output=True,
        text=True,
        timeout=120,
        env={
            "PATH": "",
            "COLDSET_DB": str(tmp_path / "nowhere" / "none.sqlite3"),
            "DJANGO_SETTINGS_MODULE": "config.settings",
        },
    )
    assert (done.returncode, done.stdout) == (2, "")
    assert [(e["code"], e["at"]) for e in json.loads(done.stderr)["errors"]] == [("schema", "book#")]
