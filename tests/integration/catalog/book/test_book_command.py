"""``manage.py book``: files, exit codes, nothing by halves."""

import io
import json
import stat
import sys
from types import SimpleNamespace

import pytest
from django.core.management import CommandError, call_command

from catalog.book.services import book_text
from tests.integration.catalog.book.forms import EXAMPLES, example, normal, whole_kitchen
from tests.integration.catalog.book.test_book import taken_over

pytestmark = pytest.mark.django_db


def test_an_imported_book_is_exported_to_a_file_with_nothing_left_beside_it(tmp_path):
    call_command("book", "import", str(EXAMPLES / "small.book.json"))
    target = tmp_path / "out.json"
    call_command("book", "export", str(target))
    assert normal(json.loads(target.read_text())) == normal(example("small"))
    assert [path.name for path in tmp_path.iterdir()] == ["out.json"]


def test_an_export_keeps_the_mode_of_the_file_it_replaces(tmp_path):
    target = tmp_path / "out.json"
    target.write_text("before")
    target.chmod(0o640)
    call_command("book", "export", str(target))
    assert stat.S_IMODE(target.stat().st_mode) == 0o640


def test_a_dash_is_standard_output_and_input(monkeypatch):
    taken_over(whole_kitchen())
    out = io.StringIO()
    call_command("book", "export", "-", stdout=out)
    assert out.getvalue() == book_text()
    taken_over(example("small"))
    monkeypatch.setattr(sys, "stdin", SimpleNamespace(buffer=io.BytesIO(out.getvalue().encode())))
    call_command("book", "import", "-")
    assert book_text() == out.getvalue()


def test_a_book_with_errors_ends_with_exit_code_2_and_every_error_as_json(tmp_path):
    taken_over(example("small"))
    before = book_text()
    book = example("small")
    book["recipes"][0]["lines"][0]["amount"] = "two ladles"
    book["kitchen"]["waste"] = "-1"
    wrong = tmp_path / "wrong.json"
    wrong.write_text(json.dumps(book))
    err = io.StringIO()
    with pytest.raises(SystemExit) as stopped:
        call_command("book", "import", str(wrong), stderr=err)
    assert stopped.value.code == 2
    errors = json.loads(err.getvalue())["errors"]
    assert [(error["code"], error["at"]) for error in errors] == [
        ("bad_share", "book#/kitchen/waste"),
        ("bad_measure", "book#/recipes/0/lines/0/amount"),
    ]
    assert all(set(error) == {"code", "at", "message"} for error in errors)
    assert book_text() == before


@pytest.mark.parametrize("body", [b"", b"{", b"\xff\xfe", b"[]", b"null", b'{"format": 1, "format": 2}', b"[" * 5000])
def test_what_is_no_book_at_all_is_a_schema_error(tmp_path, body):
    path = tmp_path / "wrong.json"
    path.write_bytes(body)
    err = io.StringIO()
    with pytest.raises(SystemExit):
        call_command("book", "import", str(path), stderr=err)
    assert {error["code"] for error in json.loads(err.getvalue())["errors"]} == {"schema"}


@pytest.mark.parametrize("action", ["import", "export"])
def test_a_path_that_does_not_exist_is_named(tmp_path, action):
    with pytest.raises(CommandError, match="Check the path"):
        call_command("book", action, str(tmp_path / "nowhere" / "book.json"))
