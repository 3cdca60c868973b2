"""A database that is busy, full, read-only or away, or a full disk: try again in a minute, and nothing entered is lost.

The page needs no database: it knows neither the kitchen nor who is signed in.
"""

import errno
import logging
import sqlite3
from http import HTTPStatus
from typing import Final

from django.contrib.sessions.backends.base import UpdateError
from django.contrib.sessions.exceptions import SessionInterrupted
from django.db import DatabaseError, InterfaceError, OperationalError
from django.http import HttpRequest, HttpResponse, QueryDict
from django.middleware.csrf import CsrfViewMiddleware, get_token
from django.template.loader import render_to_string
from django.utils.translation import gettext

from config.old_pages import sent_by_this_site, submitted_form, submitted_texts

log = logging.getLogger(__name__)

#: Seconds after which it is worth another try; a full disk has to be cleared by somebody first.
RETRY_AFTER: Final = 60
RETRY_FULL: Final = 300

#: SQLite's primary result codes (https://www.sqlite.org/rescode.html).
_SQLITE: Final = frozenset(
    {
        sqlite3.SQLITE_BUSY,
        sqlite3.SQLITE_LOCKED,
        sqlite3.SQLITE_READONLY,
        sqlite3.SQLITE_IOERR,
        sqlite3.SQLITE_FULL,
        sqlite3.SQLITE_CANTOPEN,
        sqlite3.SQLITE_PROTOCOL,
    }
)
#: Beginnings of PostgreSQL's SQLSTATE codes (its documentation, appendix A): connection, rollback by the server
#: (serialization failure, deadlock), out of resources (disk full), canceled or shut down, system error, a lock not
#: to be had, a read-only transaction, a transaction that idled too long.
_SQLSTATES: Final = ("08", "40", "53", "57", "58", "55P03", "25006", "25P03")
_NO_ROOM: Final = frozenset({errno.ENOSPC, errno.EDQUOT})
_FILES: Final = _NO_ROOM | {errno.EROFS}
#: PostgreSQL's code for a full disk.
_DISK_FULL: Final = "53100"
#: Where the pages begin that customers open by a private link; elsewhere somebody of the kitchen is told more.
PRIVATE_PAGES: Final = "/q/"


def is_unavailable(error: BaseException | None) -> bool:
    """Return whether an error says that something cannot be reached or written now, and may be later."""
    error = _cause_of(error)
    return error is not None and _says_so(error)


def is_full(error: BaseException | None) -> bool:
    """Return whether it is the disk, or what the database may take of it, that has no room left."""
    error = _cause_of(error)
    if isinstance(error, OSError):
        return error.errno in _NO_ROOM
    cause = error.__cause__ if isinstance(error, DatabaseError) else None
    if isinstance(cause, sqlite3.Error):
        return getattr(cause, "sqlite_errorcode", 0) & 0xFF == sqlite3.SQLITE_FULL
    return getattr(cause, "sqlstate", None) == _DISK_FULL


def _cause_of(error: BaseException | None) -> BaseException | None:
    while isinstance(error, SessionInterrupted | UpdateError):
        # A session that could not be written is told as a lost one.
        error = error.__cause__ or error.__context__
    return error


def _says_so(error: BaseException) -> bool:
    if isinstance(error, OSError):
        return error.errno in _FILES
    if not isinstance(error, DatabaseError | InterfaceError):
        return False
    cause = error.__cause__
    if isinstance(cause, sqlite3.Error):
        return getattr(cause, "sqlite_errorcode", 0) & 0xFF in _SQLITE
    state = getattr(cause, "sqlstate", None)
    if state is not None:
        return str(state).startswith(_SQLSTATES)
    # The server was not reached, or the connection is gone: there is no code.
    return isinstance(error, OperationalError | InterfaceError)


def unavailable(request: HttpRequest, error: BaseException | None) -> HttpResponse:
    """Return the page that keeps what was sent and sends it again; a few words where a part of a page was asked for."""
    log.warning("unavailable", exc_info=error)
    full = is_full(error)
    if "HX-Request" in request.headers:
        # The page stays open, and its script says what happened.
        response = HttpResponse(_few_words(request, full=full), content_type="text/plain", status=_STATUS)
    else:
        response = _page(request, full=full)
    response["Retry-After"] = str(RETRY_FULL if full else RETRY_AFTER)
    response["Cache-Control"] = "private, no-store"
    return response


_STATUS: Final = HTTPStatus.SERVICE_UNAVAILABLE


def _few_words(request: HttpRequest, *, full: bool) -> str:
    if not full:
        return gettext("Try again in a minute.")
    return (
        gettext("Try again in a few minutes.")
        if _is_customers(request)
        else gettext("The disk of the server is full: free some space, then try again.")
    )


def _is_customers(request: HttpRequest) -> bool:
    return request.path.startswith(PRIVATE_PAGES)


def _page(request: HttpRequest, *, full: bool) -> HttpResponse:
    sent = submitted_form(request) if request.method == "POST" and _ours(request) else QueryDict()
    ours = bool(sent)
    context = {"address": request.get_full_path(), "ours": ours, "full": full, "customer": _is_customers(request)}
    if not ours:
        return HttpResponse(render_to_string("site/503.html", context), status=_STATUS)
    csrf = CsrfViewMiddleware(lambda _: HttpResponse())
    if "CSRF_COOKIE" not in request.META:
        csrf.process_request(request)
    hidden = [name for name in sent if name != "csrfmiddlewaretoken" and "password" not in name]
    context |= {
        "token": get_token(request),
        "values": [(name, text) for name in hidden for text in sent.getlist(name)],
        "passwords": [name for name in sent if "password" in name],
        "files": list(request.FILES),
        "submitted": submitted_texts(request),
    }
    response = HttpResponse(render_to_string("site/503.html", context), status=_STATUS)
    # The answer that would have set the cookie may be the one that failed.
    request.META["CSRF_COOKIE_NEEDS_UPDATE"] = True
    csrf.process_response(request, response)
    return response


def _ours(request: HttpRequest) -> bool:
    """Whether a form of this site was sent: what another site sent is never offered to be sent again."""
    return bool(getattr(request, "csrf_processing_done", False)) or sent_by_this_site(request)
