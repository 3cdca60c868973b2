"""Why work of the outbox failed: a code with the error's text, or the refusal that was raised."""

import smtplib
import socket
import ssl
from collections.abc import Sequence
from typing import Final

from django.db import Error as DatabaseError

from catalog.records.errors import Refusal
from catalog.records.reasons import Reason

_DETAIL: Final = 300
INTERRUPTED: Final = Reason("interrupted")


#: Codes of failures that another attempt cannot mend: somebody has to change something first.
FOR_GOOD: Final = frozenset({"mail_recipient"})
#: Replies of a mail server from here on are final: the same mail is not to be sent again (RFC 5321, 4.2.1).
_FINAL: Final = 500


def took_too_long(seconds: int) -> Reason:
    """Return the reason of work that was stopped at its lane's limit."""
    return Reason("took_too_long", {"minutes": -(-seconds // 60)})


#: The first type that fits gives the code: subclasses stand before what they derive from.
_CODES: Final[Sequence[tuple[type[BaseException], str]]] = (
    (smtplib.SMTPAuthenticationError, "mail_login"),
    (smtplib.SMTPRecipientsRefused, "mail_recipient_later"),
    (smtplib.SMTPSenderRefused, "mail_sender"),
    (smtplib.SMTPConnectError, "mail_no_answer"),
    (smtplib.SMTPServerDisconnected, "mail_broken_off"),
    (smtplib.SMTPException, "mail_error"),
    (ssl.SSLError, "not_trusted"),
    (socket.gaierror, "name_unknown"),
    (ConnectionError, "no_answer"),
    (TimeoutError, "no_answer_in_time"),
    (DatabaseError, "database"),
    (MemoryError, "memory"),
    (OSError, "file"),
)


def reason_of(error: BaseException) -> Reason:
    """Return the reason of an error; a refusal keeps its code, prefixed with the name of its app."""
    if isinstance(error, Refusal):
        return Reason(f"{type(error).__module__.partition('.')[0]}.{error.code}", error.params)
    return Reason(_code(error), {"error": _detail(error)})


def _code(error: BaseException) -> str:
    # Both libraries are slow to load, and most processes need neither.
    package = type(error).__module__.partition(".")[0]
    if package == "weasyprint":
        return "may_not_load"
    if package == "billiard":  # Celery's time limit
        return "no_answer_in_time"
    if isinstance(error, smtplib.SMTPRecipientsRefused) and _is_final(error):
        return "mail_recipient"
    return next((code for known, code in _CODES if isinstance(error, known)), "unexpected")


def _is_final(error: smtplib.SMTPRecipientsRefused) -> bool:
    replies = error.recipients.values()
    return bool(replies) and all(code >= _FINAL for code, _ in replies)


def _detail(error: BaseException) -> str:
    words = " ".join(str(error).split())
    return f"{type(error).__name__}: {words}"[:_DETAIL] if words else type(error).__name__
