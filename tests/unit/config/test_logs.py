"""A line of the log: one JSON object or plain text, and never a value that somebody entered."""

import json
import logging
import smtplib
import subprocess
import sys
from typing import Any

import pytest
from django.db import IntegrityError
from django.test import RequestFactory, override_settings

from catalog.records.log_facts import current_log_facts, log_facts, note_log_facts
from config.logs import REFUSED, JsonFormatter, LineFormatter, OneLineEach
from config.request_log import request_id_of
from tests.unit.config.test_production_settings import ROOT, SERVED

PERSON = "odile.quern@bywater.example"


def record(name: str, message: object, *args: Any, error: BaseException | None = None, **extra: Any) -> Any:
    exc_info = (type(error), error, error.__traceback__) if error else None
    made = logging.LogRecord(name, logging.WARNING, __file__, 1, message, args, exc_info)
    vars(made).update(extra)
    return made


def line(*args: Any, **named: Any) -> dict[str, Any]:
    text = JsonFormatter().format(record(*args, **named))
    assert "\n" not in text
    parsed: dict[str, Any] = json.loads(text)
    return parsed


def caught(error: BaseException, cause: BaseException | None = None) -> BaseException:
    try:
        raise error from cause
    except type(error) as found:
        return found


def test_a_line_has_time_level_logger_event_and_the_facts_of_the_moment() -> None:
    with log_facts(request_id="r1"):
        note_log_facts(outbox=7, about="quote:12", empty="")
        written = line("orders.mail", "row %s failed", 7, facts={"status": 200})
    assert written.pop("time").endswith("Z")
    assert written == {
        "level": "WARNING",
        "logger": "orders.mail",
        "event": "row 7 failed",
        "request_id": "r1",
        "outbox": 7,
        "about": "quote:12",
        "status": 200,
    }
    assert current_log_facts() == {}


@pytest.mark.parametrize(
    "error",
    [
        IntegrityError(f"Key (email)=({PERSON}) already exists."),
        smtplib.SMTPRecipientsRefused({PERSON: (550, b"no such user Odile")}),
        ValueError("Odile Quern"),
        KeyError(PERSON),
    ],
)
def test_an_error_is_its_type_its_code_and_where_it_was_and_never_its_text(error: Exception) -> None:
    raised = caught(error, caught(OSError(28, "No space for Odile")))
    for formatter in (JsonFormatter(), LineFormatter()):
        text = formatter.format(record("orders.mail", "it failed", error=raised))
        assert not [word for word in ("Odile", "odile", "bywater") if word in text]
        assert type(error).__name__ in text
        assert "tests/unit/config/test_logs.py" in text
        assert "in caught" in text or " caught" in text
    written = line("orders.mail", "it failed", error=raised)
    assert written["error"]["because"][0]["type"] == "OSError"
    assert written["error"]["because"][0]["code"] == 28


def test_paths_of_an_error_do_not_show_the_machine() -> None:
    places = line("orders.x", "it failed", error=caught(ValueError()))["error"]["stack"]
    assert places[-1].startswith("tests/unit/config/test_logs.py:")


@pytest.mark.parametrize(
    ("wording", "args", "event"),
    [
        ("Worker %s got %d bytes from %s", ("odile", 12, PERSON), "Worker … got 12 bytes from …"),
        ("Task %(name)s[%(id)s]: %(exc)s", ({"name": "sweep", "id": "3f", "exc": PERSON},), "Task sweep[3f]: …"),
        (f"Invalid request from ip=192.0.2.7: 'X: {PERSON}'", (), "Invalid request from ip=[ip]: '…'"),
        (f"could not reach {PERSON} at /q/abcdefghijklmnop0123456789/?name=Odile", (), None),
    ],
)
def test_of_a_librarys_line_its_wording_and_its_numbers_remain(
    wording: str, args: tuple[Any, ...], event: str | None
) -> None:
    written = line("some.library", wording, *args)["event"]
    assert written == event or event is None
    assert not [word for word in ("dile", "bywater", "abcdefgh") if word in written]


def test_an_error_that_a_library_logs_as_its_message_is_its_type() -> None:
    assert line("some.library", ValueError(PERSON))["event"] == "ValueError"


def test_of_a_warning_its_place_and_kind_remain() -> None:
    written = line("py.warnings", "%s", f"/srv/lib/site-packages/x/y.py:61: UserWarning: saw {PERSON}\n  code()")
    assert written["event"] == "x/y.py:61 UserWarning"


def test_a_private_links_token_and_a_query_are_masked_in_our_own_lines_too() -> None:
    written = line("orders.x", "went to %s", "/q/abcdefghijklmnopqrstuvwx0123/?name=Odile")
    assert written["event"] == "went to /q/[token]/?[query]"


def test_for_a_person_the_same_is_a_plain_line_and_in_debugging_the_whole_traceback() -> None:
    broken = record("orders.mail", "row %s failed", 7, error=caught(ValueError("secret")), facts={"about": "quote:1"})
    text = LineFormatter().format(broken)
    assert "WARNING orders.mail row 7 failed about=quote:1\n  ValueError\n    at tests/unit" in text
    assert "secret" not in text
    assert "ValueError: secret" in LineFormatter(debug=True).format(broken)


@pytest.mark.parametrize(
    ("name", "error", "reason"),
    [
        ("django.security.DisallowedHost", None, "DisallowedHost"),
        ("django.security.csrf", None, "csrf"),
        ("django.request", PermissionError(), "PermissionError"),
        ("django.request", None, None),
    ],
)
def test_what_django_says_of_a_refused_request_is_noted_on_it_instead(
    name: str, error: Exception | None, reason: str | None
) -> None:
    request = RequestFactory().get("/")
    assert not OneLineEach().filter(record(name, "Forbidden: %s", "/x", error=error, request=request))
    assert request.META.get(REFUSED) == reason


def test_an_error_of_ours_keeps_its_line() -> None:
    broken = record("django.request", "%s: %s", "x", "/q/1", error=ValueError(), request=RequestFactory().get("/"))
    broken.levelno = logging.ERROR
    assert OneLineEach().filter(broken)
    assert json.loads(JsonFormatter().format(broken))["event"] == "a request failed"


def test_an_error_that_ends_a_program_is_a_line_too() -> None:
    program = (
        "import django; django.setup()\n"
        "from django.db import IntegrityError\n"
        f"raise IntegrityError('Key (email)=({PERSON}) already exists.')"
    )
    served = SERVED | {"COLDSET_LOG_FORMAT": "json"}
    ended = subprocess.run([sys.executable, "-c", program], cwd=ROOT, env=served, capture_output=True, text=True)
    assert ended.returncode == 1
    written = json.loads(ended.stderr)
    assert (written["level"], written["error"]["type"]) == ("CRITICAL", "django.db.utils.IntegrityError")
    assert "odile" not in ended.stderr


@pytest.mark.parametrize("given", ["", "short", "a" * 65, "two\nlines-and-more", f"{PERSON}-0000", "späte-nummer-12"])
def test_a_malformed_request_id_is_replaced(given: str) -> None:
    request = RequestFactory().get("/", headers={"X-Request-ID": given})
    with override_settings(SECURE_PROXY_SSL_HEADER=("HTTP_X_FORWARDED_PROTO", "https")):
        assert len(request_id_of(request)) == 32


def test_a_request_id_is_taken_from_a_proxy_only() -> None:
    request = RequestFactory().get("/", headers={"X-Request-ID": "0198c2d4-trace-77"})
    assert request_id_of(request) != "0198c2d4-trace-77"
    with override_settings(SECURE_PROXY_SSL_HEADER=("HTTP_X_FORWARDED_PROTO", "https")):
        assert request_id_of(request) == "0198c2d4-trace-77"
