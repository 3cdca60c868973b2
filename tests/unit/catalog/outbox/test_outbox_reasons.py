"""Failures of mail and files in sentences."""

import json
import smtplib
import socket
import ssl
from datetime import UTC, date, datetime
from decimal import Decimal

import pytest
from django.conf import settings
from django.db import OperationalError
from djmoney.money import Money

from catalog.outbox.presenters import failure_sentence
from catalog.outbox.reasons import reason_of
from catalog.records.errors import ChangedMeanwhile, InUse, PackDatesOverlap, Refusal
from catalog.records.reasons import Reason, reason_from_json, reason_to_json
from tests.each import each


@each(
    ("error", "sentence"),
    [
        (smtplib.SMTPAuthenticationError(535, b"no"), "The mail server refused the user name or the password."),
        (
            smtplib.SMTPRecipientsRefused({"a@b": (550, b"no")}),
            "The mail server refused the recipient's address for good. Correct the address, then try again.",
        ),
        (
            smtplib.SMTPRecipientsRefused({"a@b": (450, b"later")}),
            "The mail server accepts no mail for the recipient right now.",
        ),
        (smtplib.SMTPSenderRefused(550, b"no", "a@b"), "The mail server refused the address the mail is sent from."),
        (smtplib.SMTPConnectError(421, b"busy"), "The mail server did not answer."),
        (smtplib.SMTPServerDisconnected("gone"), "The mail server broke off the connection."),
        (smtplib.SMTPDataError(451, b"later"), "The mail server answered with an error."),
        (ConnectionResetError(), "The mail server did not answer."),
        (TimeoutError(), "The mail server did not answer in time."),
        (socket.gaierror(-2, "unknown"), "The mail server's name could not be found."),
        (ssl.SSLError("handshake"), "The mail server's encryption or certificate was not accepted."),
        (OperationalError("locked"), "The database did not answer."),
        (MemoryError(), "There was not enough memory."),
        (PermissionError(13, "denied"), "A file could not be read or written."),
        (RuntimeError(), "It stopped with an unexpected error."),
    ],
)
def test_each_failure_has_its_sentence_and_keeps_its_own_words(error: Exception, sentence: str) -> None:
    wording = failure_sentence(reason_of(error), kind="mail")
    assert wording.startswith(sentence)
    assert type(error).__name__ in wording


@pytest.mark.parametrize("kind", sorted(settings.MAIL_WRITERS))
def test_every_kind_of_mail_names_the_mail_server(kind: str) -> None:
    assert failure_sentence(reason_of(TimeoutError()), kind=kind).startswith("The mail server did not answer in time.")


def test_a_refusal_has_its_own_sentence() -> None:
    wording = failure_sentence(reason_of(InUse(what="Plums", users=["Plum tart"])))
    assert wording == "Plums is used by Plum tart. Remove it there first, or mark it as no longer used."


def test_long_words_are_cut() -> None:
    assert len(failure_sentence(reason_of(ValueError("x" * 5000)))) < 400


@pytest.mark.parametrize(
    ("error", "sentence"),
    [
        (
            PackDatesOverlap(size="5 lb", day=date(2026, 9, 1)),
            "5 lb has a price from September 1, 2026 already. Choose a later day, or correct that price.",
        ),
        (
            ChangedMeanwhile(what=Reason("the_kind", {"kind": "supplier"})),
            "The supplier was changed by somebody else in the meantime. Open it again and repeat your change.",
        ),
    ],
)
def test_a_refusal_says_the_same_after_it_was_stored(error: Refusal, sentence: str) -> None:
    stored = json.loads(json.dumps(reason_to_json(reason_of(error))))
    assert failure_sentence(reason_from_json(stored)) == sentence


def test_every_kind_of_parameter_comes_back_as_it_was_stored() -> None:
    params = {
        "day": date(2027, 2, 6),
        "moment": datetime(2027, 2, 6, 16, tzinfo=UTC),
        "price": Decimal("12.50"),
        "open": Money("12.50", "EUR"),
        "names": ["Plums", Reason("user", {"kind": "recipe", "name": "Jam"})],
        "count": 3,
        "none": None,
    }
    reason = Reason("code", params)
    assert reason_from_json(json.loads(json.dumps(reason_to_json(reason)))) == reason
