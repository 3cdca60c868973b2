"""Where a mail stands, in words, and whether mail leaves at all."""

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Final

from django.conf import settings
from django.utils.translation import gettext, ngettext
from django.utils.translation import gettext_noop as marked

from catalog.outbox.models import Outbox
from catalog.outbox.presenters import work_problem, work_summary
from catalog.web import display
from orders.mail.selectors import mail_leaves, not_needed


@dataclass(frozen=True, slots=True)
class MailShown:
    """A mail or file that was asked for, and where it stands; ``failed`` when somebody has to do something."""

    summary: str
    state: str
    failed: bool


def mails_shown(rows: Iterable[Outbox]) -> list[MailShown]:
    """Write where each mail and file stands."""
    listed = list(rows)
    needless = not_needed(listed)
    return [
        MailShown(work_summary(row), _state(row, needed=row.pk not in needless), row.status == Outbox.Status.FAILED)
        for row in listed
    ]


def _state(row: Outbox, *, needed: bool) -> str:
    mail = row.kind in settings.MAIL_WRITERS
    if row.status == Outbox.Status.DONE:
        return _done(row, mail=mail, needed=needed)
    if row.status == Outbox.Status.FAILED:
        failed = gettext("Not sent. %(problem)s") if mail else gettext("Not made. %(problem)s")
        return failed % {"problem": work_problem(row)}
    if row.error:
        tried = ngettext(
            "Tried %(n)s time, next try %(moment)s. %(problem)s",
            "Tried %(n)s times, next try %(moment)s. %(problem)s",
            row.attempts,
        )
        return tried % {"n": row.attempts, "moment": display.moment(row.run_after), "problem": work_problem(row)}
    return gettext("Waiting to be sent.") if mail else gettext("Being made.")


def _done(row: Outbox, *, mail: bool, needed: bool) -> str:
    moment = {"moment": display.moment(row.done_at)}
    if not mail:
        return gettext("Made, %(moment)s.") % moment
    if not needed:
        return gettext("Not sent, as it was no longer needed, %(moment)s.") % moment
    if not mail_leaves():
        return gettext("Written, not sent, as no mail server is set up, %(moment)s.") % moment
    return gettext("Taken by the mail server, %(moment)s.") % moment


def _written_words() -> str:
    return gettext("The e-mail is written, not sent: no mail server is set up.")


def sending_words() -> str:
    """Write what becomes of an e-mail to the customer that was just asked for."""
    return gettext("The e-mail is on its way to the customer.") if mail_leaves() else _written_words()


def invoice_sending_words() -> str:
    """Write what becomes of the e-mail with an invoice that was just issued."""
    if mail_leaves():
        return gettext("It will be e-mailed to the customer.")
    return gettext("%(written)s Download the PDF and send it yourself.") % {"written": _written_words()}


def reply_words() -> str:
    """Write what becomes of a reply to a customer's message."""
    if mail_leaves():
        return gettext("Your reply is on its way.")
    return gettext("Your reply is written, not sent: no mail server is set up. Call the customer, or write yourself.")


_TO_A_FILE: Final = marked(
    "E-mail is written to a file, not sent: no mail server is set up. Copy a link and send it yourself."
)


def link_reason(*, name: str, address: bool) -> str:
    """Write why the customer gets no mail, so that the link is to be copied; empty where mail reaches them."""
    if not address:
        return gettext("No e-mail address is entered for %(name)s. Copy a link and send it yourself.") % {"name": name}
    if not mail_leaves():
        return gettext(_TO_A_FILE)
    return ""
