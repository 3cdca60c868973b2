"""Why work of the outbox failed, in a sentence the owner can act on."""

from typing import Final

from django.conf import settings
from django.utils.module_loading import import_string
from django.utils.translation import gettext
from django.utils.translation import gettext_noop as marked

from catalog.outbox.models import Outbox
from catalog.records.presenters import Sentences, reason_sentence
from catalog.records.reasons import Reason, reason_from_json

#: Each ends with the error's own text, for whoever administers the server.
_FAILURES: Final[Sentences] = {
    "mail_login": marked("The mail server refused the user name or the password."),
    "mail_recipient": marked(
        "The mail server refused the recipient's address for good. Correct the address, then try again."
    ),
    "mail_recipient_later": marked("The mail server accepts no mail for the recipient right now."),
    "mail_sender": marked("The mail server refused the address the mail is sent from."),
    "mail_no_answer": marked("The mail server did not answer."),
    "mail_broken_off": marked("The mail server broke off the connection."),
    "mail_error": marked("The mail server answered with an error."),
    "not_trusted": marked("The server's encryption or certificate was not accepted."),
    "name_unknown": marked("The server's name could not be found."),
    "no_answer": marked("The server did not answer."),
    "no_answer_in_time": marked("The server did not answer in time."),
    "database": marked("The database did not answer."),
    "memory": marked("There was not enough memory."),
    "file": marked("A file could not be read or written."),
    "may_not_load": marked("The document uses a picture or a file that it may not load."),
    "unexpected": marked("It stopped with an unexpected error."),
}
#: Sentences for sending mail, where the server is the mail server.
_OF_MAIL: Final[Sentences] = {
    "no_answer": marked("The mail server did not answer."),
    "no_answer_in_time": marked("The mail server did not answer in time."),
    "name_unknown": marked("The mail server's name could not be found."),
    "not_trusted": marked("The mail server's encryption or certificate was not accepted."),
}
_INTERRUPTED: Final = marked("The work was interrupted: the program was stopped while it was running.")
_TOO_LONG: Final = marked("It took longer than {minutes} minutes and was stopped.")


def work_summary(row: Outbox) -> str:
    """Describe the work."""
    if row.kind == "price_list":
        return gettext("Read the price list of %(supplier)s") % {"supplier": row.summary}
    if row.kind == "spreadsheet":
        return gettext("Read a spreadsheet")
    if row.kind in ("window_check", "slot_check"):
        return gettext("Check the time of %(quote)s against the other orders") % {"quote": row.summary}
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
    shown = {code: f"{gettext(text)} ({{error}})" for code, text in sentences.items()}
    return reason_sentence(reason, shown | {"interrupted": _INTERRUPTED, "took_too_long": _TOO_LONG})
