"""Asking for the mail of a reminder. ``orders.approvals.reminder_mails`` writes it when it is sent."""

from datetime import datetime
from typing import Final

from django.utils.translation import gettext

from catalog.outbox.models import Outbox
from orders.mail.services import mail_ask
from orders.reminders.dues import Due
from orders.reminders.words import kind_words

KIND: Final = "reminder"


def reminder_mail_ask(due: Due, *, reminder_id: int, at: datetime) -> Outbox:
    """Request the mail of a reminder in the caller's transaction."""
    what = gettext("reminder, %(kind)s, %(number)s") % {"kind": kind_words(due.kind.code), "number": due.named}
    return mail_ask(
        kind=KIND,
        payload={"reminder": reminder_id},
        about=f"{due.kind.document}:{due.pk}",
        to=due.customer,
        what=what,
        at=at,
    )
