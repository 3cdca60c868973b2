"""The mail of a reminder, with a fresh link to the customer's page; written when it is sent, if it still has to be."""

from datetime import datetime

from catalog.kitchen.models import Kitchen
from catalog.outbox.models import Outbox
from catalog.web import display
from orders.approvals.links import link_create
from orders.approvals.presenters import link_address
from orders.mail.services import Mail, mail_address
from orders.reminders.presenters import written
from orders.reminders.selectors import document_due, plan_now
from orders.reminders.services import reminder_check


def reminder_mail(row: Outbox, kitchen: Kitchen, at: datetime) -> Mail | None:
    """Write the mail of a reminder; None when there is nothing to remind of any more.

    Raises
    ------
    NoAddress
        If there is no address to write to.
    PdfNotStored
        If the quote's PDF is not stored yet, without which there is no link.
    """
    due = reminder_check(reminder_id=row.payload["reminder"], outbox_id=row.pk, at=at)
    if due is None:
        return None
    words = written(due, plan_now().rules[due.kind.code], kitchen)
    return Mail(
        about=document_due(due),
        to=mail_address(due.email, who=due.customer),
        reply_to=kitchen.email,
        thread=due.number,
        subject=words.subject,
        template="orders/mail/reminder",
        facts={
            "due": due,
            "text": words.text,
            "kitchen": kitchen,
            "amount": display.minor(due.amount_minor, due.currency) if due.kind.money else "",
            "link": link_address(link_create(quote_id=due.quote.pk, at=at)),
        },
        params={"reminder": due.kind.code},
        event="reminder",
    )
