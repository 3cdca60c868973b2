"""Processes that meet over one reminder.

``reminders rounds COUNT`` lets COUNT rounds find the same reminder due at once, and prints how many reminders and mails
were asked for.
``reminders paid ROUNDS`` lets a deposit be recorded while its reminder is sent, ROUNDS times, and prints what became of
the reminder, of the payment, and of the work.
"""

import os
import sys
from datetime import datetime, timedelta
from functools import partial

import django

django.setup()

from django.core import mail

from catalog.outbox.models import Outbox
from catalog.outbox.services import outbox_run
from orders.orders.models import Order
from orders.reminders.kinds import KINDS
from orders.reminders.models import Reminder
from orders.reminders.selectors import planned
from orders.reminders.services import reminders_round, reminders_save
from tests.factories import BY, EVENT, NOW, kitchen_make, sent_make
from tests.integration.orders.builders import order_make, pay
from tests.integration.processes.approvals import at_once


def _switch_on(*kinds: str) -> None:
    rules = {code: (code in kinds, kind.days) for code, kind in KINDS.items()}
    reminders_save(on=True, hour=9, rules=rules, by=BY, at=NOW)


def rounds(count: int) -> None:
    """Let all rounds ask at once."""
    _switch_on("validity")
    sent_make()
    (one,) = planned(at=NOW)
    at_once(*[partial(_round, one.moment)] * count)
    asked = Outbox.objects.filter(kind="reminder").count()
    os.write(1, f"{Reminder.objects.count()} {asked}\n".encode())


def _round(at: datetime) -> None:
    reminders_round(at=at)


def _pay(order: Order, at: datetime) -> None:
    pay(order, order.deposit_minor, "deposit", at=at)


def _run(row: Outbox) -> None:
    mail.outbox = []
    outbox_run(row_id=row.pk, at=row.run_after)


def paid(count: int) -> None:
    """Let the owner record a deposit while its reminder is sent."""
    _switch_on("deposit_due")
    for number in range(count):
        order = order_make(window_start=EVENT + timedelta(weeks=number))
        (one,) = [one for one in planned(at=NOW) if one.due.pk == order.pk]
        reminders_round(at=one.moment)
        row = Outbox.objects.filter(kind="reminder").latest("pk")
        at_once(partial(_run, row), partial(_pay, order, one.moment))
        outcome = Reminder.objects.get(document_pk=order.pk).outcome
        received = Order.objects.get(pk=order.pk).payments.count()
        os.write(1, f"{outcome} {received} {Outbox.objects.get(pk=row.pk).status}\n".encode())


def main() -> None:
    """Race."""
    kitchen_make()
    {"rounds": rounds, "paid": paid}[sys.argv[1]](int(sys.argv[2]))


if __name__ == "__main__":
    main()
