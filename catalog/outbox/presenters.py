"""Why work of the outbox failed, in a sentence the owner can act on."""

from typing import Final

from django.conf import settings
from django.utils.module_loading import import_string

from catalog.outbox.models import Outbox
from catalog.records.presenters import Sentences, reason_sentence
from catalog.records.reasons import Reason, reason_from_json

#: Each ends with the error's own text, for whoever administers the server.
_FAILURES: Final[Sentences] = {
    "mail_login": "The mail server refused the user name or the password.",
    "mail_recipient": "The mail server refused the recipient's address for good. Correct the address, then try again.",
    "mail_recipient_later": "The mail server takes no mail for the recipient at the moment.",
    "mail_sender": "The mail server refused the address the mail is sent from.",
    "mail_no_answer": "The mail server did not answer.",
    "mail_broken_off": "The mail server broke off.",
    "mail_error": "The mail server answered with an error.",
    "not_trusted": "The server's encryption or certificate was not accepted.",
    "name_unknown": "The server's name could not be found.",
    "no_answer": "The server did not answer.",
    "no_answer_in_time": "The server did not answer in time.",
    "database": "The database did not answer.",
    "memory": "There was not enough memory.",
    "file": "A file could not be read or written.",
    "may_not_load": "The document asks for a picture or a file that it may not load.",
    "unexpected": "It stopped with an error that nobody expected.",
}
#: Sentences for sending mail, where the server is the mail server.
_OF_MAIL: Final[Sentences] = {
    "no_answer": "The mail server did not answer.",
    "no_answer_in_time": "The mail server did not answer in time.",
    "name_unknown": "The mail server's name could not be found.",
    "not_trusted": "The mail server's encryption or certificate was not accepted.",
}
_INTERRUPTED: Final = "The work was interrupted: the program was stopped while it was under way."
_TOO_LONG: Final = "It took longer than {minutes} minutes and was stopped."


def work_summary(row: Outbox) -> str:
    """Describe the work."""
    if row.kind == "price_list":
        return f"Read the price list of {row.summary}"
    return row.summary or row.kind


def work_problem(row: Outbox) -> str:
    """Write what went wrong at the last attempt; empty if nothing did."""
    return failure_sentence(reason_from_json(row.error), kind=row.kind) if row.error else ""


def failure_sentence(reason: Reason, *, kind: str = "") -> str:
    """Write what went wrong: a sentence, then the error's own text in brackets; a refusal has its own sentence."""
    app, dot, code = reason.code.partition(".")
    if dot:
        sentence_shown: str = import_string(settings.REFUSAL_SENTENCES[app])(Reason(code, reason.params))
        return sentence_shown
    sentences = {**_FAILURES, **(_OF_MAIL if kind in settings.MAIL_WRITERS else {})}
    shown = {code: f"{text} ({{error}})" for code, text in sentences.items()}
    return reason_sentence(reason, shown | {"interrupted": _INTERRUPTED, "took_too_long": _TOO_LONG})
