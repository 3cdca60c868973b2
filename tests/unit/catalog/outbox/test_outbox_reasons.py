"""Failures of mail and files in sentences."""

import smtplib
import socket
import ssl

import pytest
from django.db import OperationalError

from catalog.outbox.reasons import reason
from catalog.records.errors import InUse


@pytest.mark.parametrize(
    ("error", "sentence"),
    [
        (smtplib.SMTPAuthenticationError(535, b"no"), "The mail server refused the user name or the password."),
        (smtplib.SMTPRecipientsRefused({}), "The mail server refused the recipient's address."),
        (smtplib.SMTPSenderRefused(550, b"no", "a@b"), "The mail server refused the address the mail is sent from."),
        (smtplib.SMTPConnectError(421, b"busy"), "The mail server did not answer."),
        (smtplib.SMTPServerDisconnected("gone"), "The mail server broke off."),
        (smtplib.SMTPDataError(451, b"later"), "The mail server answered with an error."),
        (ConnectionResetError(), "The mail server did not answer."),
        (TimeoutError(), "The mail server did not answer in time."),
        (socket.gaierror(-2, "unknown"), "The mail server's name could not be found."),
        (ssl.SSLError("handshake"), "The mail server's encryption or certificate was not accepted."),
        (OperationalError("locked"), "The database did not answer."),
        (MemoryError(), "There was not enough memory."),
        (PermissionError(13, "denied"), "A file could not be read or written."),
        (RuntimeError(), "It stopped with an error that nobody expected."),
    ],
)
def test_each_failure_has_its_sentence_and_keeps_its_own_words(error: Exception, sentence: str) -> None:
    said = reason(error, kind="mail")
    assert said.startswith(sentence)
    assert type(error).__name__ in said


def test_a_refusal_speaks_for_itself() -> None:
    error = InUse(what="Plums", users="Plum tart")
    assert reason(error) == "Plums is used by Plum tart. Take it out there first, or mark it as no longer used."


def test_long_words_are_cut() -> None:
    assert len(reason(ValueError("x" * 5000))) < 400
