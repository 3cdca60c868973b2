"""Mail: requested in a commit, composed from stored content and sent after it.

To add a kind of mail, name its writer in ``settings.MAIL_WRITERS`` (kind of outbox row -> function that returns a
:class:`Mail`) and request it with :func:`mail_ask`. Rendering, sending and the audit trail are the same for all kinds.
"""

import logging
import re
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime
from email.utils import formataddr, parseaddr
from typing import Any, Final
from urllib.parse import urlsplit

from django.conf import settings
from django.core.mail import EmailMultiAlternatives
from django.db import OperationalError, models
from django.template.loader import render_to_string
from django.utils.module_loading import import_string
from django.utils.translation import gettext

from catalog.kitchen.models import Kitchen
from catalog.kitchen.selectors import kitchen as kitchen_now
from catalog.outbox.models import Outbox
from catalog.outbox.services import outbox_add
from catalog.web import display
from orders.documents.models import Document
from orders.mail.addresses import can_be_written_to
from orders.mail.selectors import mail_leaves
from orders.records.actors import MAIL
from orders.records.errors import NoAddress
from orders.records.transitions import audit

logger = logging.getLogger(__name__)

#: Blank lines that a template leaves for empty parts.
_BLANK: Final = re.compile(r"\n{3,}")


@dataclass(frozen=True, slots=True)
class Mail:
    """One mail about a document. ``template`` names a .txt and a .html file, which get ``facts``.

    Mails with the same ``thread``, the number of a quote, belong together. ``params`` are for the audit trail, in
    which ``event`` begins the name of what happened.
    """

    about: models.Model
    to: str
    reply_to: str
    thread: str
    subject: str
    template: str
    facts: Mapping[str, Any]
    files: Sequence[Document] = ()
    params: Mapping[str, Any] = field(default_factory=dict)
    event: str = "mail"


#: writer(row, kitchen, at): None when the mail is no longer needed.
MailWriter = Callable[[Outbox, Kitchen, datetime], Mail | None]


def mail_ask(*, kind: str, payload: Mapping[str, Any], about: str, to: str, what: str, at: datetime) -> Outbox:
    """Request a mail in the caller's transaction; ``to`` and ``what`` are for the owner's list of mails."""
    summary = gettext("To %(to)s: %(what)s") % {"to": to, "what": what}
    return outbox_add(kind=kind, payload=dict(payload), about=about, summary=summary[:200], at=at)


def mail_send(*, row: Outbox, at: datetime) -> None:
    """Write one mail and send it to the mail server; the outbox records an error.

    Raises
    ------
    NoAddress
        If there is no address to write to.
    Exception
        Whatever the mail server's client raises.
    """
    write: MailWriter = import_string(settings.MAIL_WRITERS[row.kind])
    kitchen = kitchen_now()
    # Files and links are created before the connection opens, each in a short transaction of its own.
    with display.kitchen_display(kitchen):
        mail = write(row, kitchen, at)
        if mail is None:
            return
        message = _composed(row, mail, kitchen)
    message.send()
    _write_down(mail, at)


def _write_down(mail: Mail, at: datetime) -> None:
    """Write that a mail has left, or was only written to a file because no mail server is named.

    A database without room for that is no reason to send it a second time.
    """
    event = f"{mail.event}_sent" if mail_leaves() else f"{mail.event}_written"
    try:
        audit(mail.about, event, by=MAIL, at=at, params={**mail.params, "to": mail.to})
    except OperationalError:
        logger.exception("a mail has left, but the history of what it is about does not say so")


def mail_address(address: str, *, who: str) -> str:
    """Return the address as it is now, so that a corrected one is used when the mail is tried again.

    Raises NoAddress when nothing can be sent to it.
    """
    if not can_be_written_to(address):
        raise NoAddress(who=who)
    return address


def _composed(row: Outbox, mail: Mail, kitchen: Kitchen) -> EmailMultiAlternatives:
    host = urlsplit(settings.SITE_URL).hostname
    thread = f"<quote-{mail.thread}@{host}>"
    message = EmailMultiAlternatives(
        subject=_one_line(mail.subject),
        body=_BLANK.sub("\n\n", render_to_string(f"{mail.template}.txt", dict(mail.facts))).strip() + "\n",
        from_email=formataddr((_one_line(kitchen.name), parseaddr(settings.DEFAULT_FROM_EMAIL)[1])),
        to=[mail.to],
        # A reply reaches a person.
        reply_to=[mail.reply_to] if can_be_written_to(mail.reply_to) else [],
        headers={
            "Message-ID": f"<outbox-{row.message_key}@{host}>",
            "Auto-Submitted": "auto-generated",
            "References": thread,
            "In-Reply-To": thread,
        },
    )
    message.attach_alternative(render_to_string(f"{mail.template}.html", dict(mail.facts)), "text/html")
    for file in mail.files:
        message.attach(file.file_name, file.body, file.media_type)
    return message


def _one_line(text: str) -> str:
    return " ".join(text.split())
