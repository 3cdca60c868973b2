"""Why work after a change failed, in a sentence the owner can act on."""

import smtplib
import socket
import ssl
from collections.abc import Sequence
from typing import Final

from django.db import Error as DatabaseError

from catalog.records.errors import CatalogError
from catalog.records.presenters import sentence as refusal_sentence

_DETAIL: Final = 300

#: The first type that fits gives the sentence: subclasses stand before what they derive from.
_SENTENCES: Final[Sequence[tuple[type[BaseException], str]]] = (
    (smtplib.SMTPAuthenticationError, "The mail server refused the user name or the password."),
    (smtplib.SMTPRecipientsRefused, "The mail server refused the recipient's address."),
    (smtplib.SMTPSenderRefused, "The mail server refused the address the mail is sent from."),
    (smtplib.SMTPConnectError, "The mail server did not answer."),
    (smtplib.SMTPServerDisconnected, "The mail server broke off."),
    (smtplib.SMTPException, "The mail server answered with an error."),
    (ssl.SSLError, "The server's encryption or certificate was not accepted."),
    (socket.gaierror, "The server's name could not be found."),
    (ConnectionError, "The server did not answer."),
    (TimeoutError, "The server did not answer in time."),
    (DatabaseError, "The database did not answer."),
    (MemoryError, "There was not enough memory."),
    (OSError, "A file could not be read or written."),
)
_MAIL: Final = {
    "The server did not answer.": "The mail server did not answer.",
    "The server did not answer in time.": "The mail server did not answer in time.",
    "The server's name could not be found.": "The mail server's name could not be found.",
    "The server's encryption or certificate was not accepted.": (
        "The mail server's encryption or certificate was not accepted."
    ),
}


def reason(error: BaseException, *, kind: str = "") -> str:
    """Return what went wrong: a sentence, then the error's own words in brackets."""
    if isinstance(error, CatalogError):
        return refusal_sentence(error)
    if hasattr(error, "sentence"):  # a refusal of any layer, with a sentence of its own
        return str(error)
    sentence = _sentence(error)
    if kind == "mail":
        sentence = _MAIL.get(sentence, sentence)
    return f"{sentence} ({_detail(error)})"


def _sentence(error: BaseException) -> str:
    if type(error).__module__.startswith("weasyprint"):
        return "The document asks for a picture or a file that it may not load."
    for known, sentence in _SENTENCES:
        if isinstance(error, known):
            return sentence
    return "It stopped with an error that nobody expected."


def _detail(error: BaseException) -> str:
    words = " ".join(str(error).split())
    return f"{type(error).__name__}: {words}"[:_DETAIL] if words else type(error).__name__
