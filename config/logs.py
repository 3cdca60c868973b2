"""The lines of the log: JSON for machines or plain for a person, and nobody's personal data in either.

The project's own lines are written without names, addresses and texts. Lines of libraries may hold anything, so only
their fixed wording and their numbers are kept. The text of an error is never logged: a database quotes the row it
refused, a mail server the address. An error's type, its code and the lines of code it passed through remain.
"""

import json
import logging
import re
import sys
from collections.abc import Mapping
from datetime import UTC, datetime
from pathlib import Path
from traceback import extract_tb
from types import TracebackType
from typing import Any, Final

from django.core.exceptions import ImproperlyConfigured

from catalog.records.log_facts import current_log_facts

_OURS: Final = ("config", "catalog", "orders", "costing")
_ROOT: Final = f"{Path(__file__).resolve().parent.parent}/"
_FRAMES: Final = 40
_CAUSES: Final = 4
#: The request's own note of why it was refused; read by ``config.request_log``.
REFUSED: Final = "coldset.refused"

#: What is masked wherever it stands.
_MASKS: Final = (
    (re.compile(r"(/q/|/(?:password|email)/[A-Za-z0-9_-]+/)[A-Za-z0-9_-]{16,}"), r"\1[token]"),
    (re.compile(r"[^\s<>\"'(=:]+@[^\s<>\"')]+"), "[address]"),
    (re.compile(r"\?[^\s\"']+"), "?[query]"),
    (re.compile(r"\b[A-Za-z0-9_-]{40,}\b"), "[token]"),
)
#: In a library's wording quoted text and IP addresses are values too.
_MASKS_OF_LIBRARIES: Final = (
    (re.compile(r"'[^']*'|\"[^\"]*\""), "'…'"),
    (re.compile(r"\b\d{1,3}(?:\.\d{1,3}){3}\b"), "[ip]"),
)
#: Named values of a library's line that are safe: Celery's name of a task, its id, how long it took.
_SAFE: Final = frozenset({"name", "id", "runtime"})
#: Where a warning of Python was given, and of which kind; its text may hold anything.
_WARNING: Final = re.compile(r"(.+?):(\d+): (\w+): ")
_PLACEHOLDER: Final = re.compile(r"%(?:\(\w+\))?[-#0 +]*\d*(?:\.\d+)?[diouxXeEfFgGcrsa]")


class JsonFormatter(logging.Formatter):
    """Writes a record as one JSON object on one line."""

    def format(self, record: logging.LogRecord) -> str:
        """Return the object: time, level, logger, event, facts, and the error if there is one."""
        line: dict[str, Any] = {
            "time": _moment(record),
            "level": record.levelname,
            "logger": record.name,
            "event": _event(record),
            **_facts(record),
        }
        if error := _error(record):
            line["error"] = error
        return json.dumps(line, ensure_ascii=False, default=str)


class LineFormatter(logging.Formatter):
    """Writes a record for a person: a line, then the stack of an error; in debugging the whole traceback instead."""

    def __init__(self, *, debug: bool = False) -> None:
        super().__init__()
        self.debug = debug

    def format(self, record: logging.LogRecord) -> str:
        """Return the line or lines."""
        facts = "".join(f" {name}={value}" for name, value in _facts(record).items())
        text = f"{_moment(record)} {record.levelname} {record.name} {_event(record)}{facts}"
        if self.debug and record.exc_info:
            return f"{text}\n{self.formatException(record.exc_info)}"
        return "\n".join([text, *_error_lines(_error(record))])


class OneLineEach(logging.Filter):
    """Leaves out what the line of the request itself says: Django's lines about pages that were refused or not found.

    Why a request was refused (a wrong host, a form from another site, too many fields, a wrong role) is noted on it.
    """

    def filter(self, record: logging.LogRecord) -> bool:
        """Let a record through unless the request's line stands for it."""
        security = record.name.startswith("django.security.")
        if not security and record.name != "django.request":
            return True
        request, error = getattr(record, "request", None), _exception(record)
        if not security and error is not None and record.levelno >= logging.ERROR:
            return True
        if request is None:
            record.exc_info = None
            return True
        reason = record.name.rpartition(".")[2] if security else type(error).__name__ if error else ""
        if reason:
            request.META.setdefault(REFUSED, reason)
        return False


def log_uncaught(kind: type[BaseException], error: BaseException, traceback: TracebackType | None) -> None:
    """Log an error that ends the program, in place of Python's own print of it (``sys.excepthook``)."""
    if not isinstance(error, Exception):
        sys.__excepthook__(kind, error, traceback)
        return
    logging.getLogger(__name__).critical("the program ended with an error", exc_info=(kind, error, traceback))


def scrubbed(text: str) -> str:
    """Mask the tokens of private links and of links to set a password, mail addresses and query strings."""
    for pattern, mark in _MASKS:
        text = pattern.sub(mark, text)
    return text


def _moment(record: logging.LogRecord) -> str:
    return datetime.fromtimestamp(record.created, UTC).isoformat(timespec="milliseconds").replace("+00:00", "Z")


def _event(record: logging.LogRecord) -> str:
    if record.name == "django.request":
        return "a request failed"
    if record.name.partition(".")[0] in _OURS:
        return scrubbed(record.getMessage())
    return _of_library(record)


def _of_library(record: logging.LogRecord) -> str:
    """Return a library's fixed wording with the numbers it was given; every other value is left out."""
    if not isinstance(record.msg, str):
        return type(record.msg).__name__  # an error's own text
    wording, arguments = record.msg, record.args
    if record.name == "py.warnings" and (warned := _WARNING.match(record.getMessage())):
        return f"{_place(warned[1])}:{warned[2]} {warned[3]}"
    if isinstance(arguments, Mapping):
        safe = {name: str(value) for name, value in arguments.items() if name in _SAFE}
        text = re.sub(r"%\((\w+)\)[^a-zA-Z]*[a-zA-Z]", lambda found: safe.get(found[1], "…"), wording)
    else:
        values = iter(arguments or ())
        text = _PLACEHOLDER.sub(lambda _: _number_or_mark(next(values, None)), wording) if arguments else wording
    for pattern, mark in _MASKS_OF_LIBRARIES:
        text = pattern.sub(mark, text)
    return " ".join(scrubbed(text).split())


def _number_or_mark(value: object) -> str:
    return str(value) if isinstance(value, int | float) else "…"


def _facts(record: logging.LogRecord) -> dict[str, Any]:
    return {**current_log_facts(), **getattr(record, "facts", {})}


def _exception(record: logging.LogRecord) -> BaseException | None:
    return record.exc_info[1] if isinstance(record.exc_info, tuple) else None


def _error(record: logging.LogRecord) -> dict[str, Any]:
    """Return the error of a record: types, codes and stacks, from the last error to the first."""
    error = _exception(record)
    shown: list[dict[str, Any]] = []
    while error is not None and len(shown) < _CAUSES:
        shown.append({"type": _type(error), **_code(error), **_fix(error), "stack": _stack(error.__traceback__)})
        error = error.__cause__ or (None if error.__suppress_context__ else error.__context__)
    if not shown:
        return {}
    return {**shown[0], "because": shown[1:]} if shown[1:] else shown[0]


def _error_lines(error: Mapping[str, Any]) -> list[str]:
    if not error:
        return []
    lines = [f"  {error['type']}{' ' + str(error['code']) if 'code' in error else ''}"]
    lines += [f"  {error['fix']}"] if "fix" in error else []
    lines += [f"    at {place}" for place in error["stack"]]
    for cause in error.get("because", ()):
        lines += [f"  because of {cause['type']}", *(f"    at {place}" for place in cause["stack"])]
    return lines


def _type(error: BaseException) -> str:
    kind = type(error)
    return kind.__qualname__ if kind.__module__ == "builtins" else f"{kind.__module__}.{kind.__qualname__}"


def _code(error: BaseException) -> dict[str, Any]:
    """Return the error's code: of a refusal, of SQL, of SQLite, of a mail server, of the operating system."""
    for name in ("code", "sqlstate", "sqlite_errorname", "smtp_code", "errno"):
        code = getattr(error, name, None)
        if isinstance(code, int) or (isinstance(code, str) and re.fullmatch(r"\w{1,40}", code)):
            return {"code": code}
    return {}


def _fix(error: BaseException) -> dict[str, str]:
    """Return what a wrong setting's error says: it names a variable and the fix, and nobody's data."""
    return {"fix": scrubbed(str(error))} if isinstance(error, ImproperlyConfigured) else {}


def _stack(traceback: TracebackType | None) -> list[str]:
    frames = extract_tb(traceback)[-_FRAMES:]
    return [f"{_place(frame.filename)}:{frame.lineno} {frame.name}" for frame in frames]


def _place(file: str) -> str:
    """Return a file's path without the machine's folders."""
    if "site-packages/" in file:
        return file.rpartition("site-packages/")[2]
    return file.removeprefix(_ROOT).removeprefix("/")
