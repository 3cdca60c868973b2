"""Mails to the kitchen speak to the kitchen: no sentence in them asks the customer something."""

from datetime import timedelta

import pytest
from django.core import mail
from django.core.mail import EmailMultiAlternatives

from catalog.outbox.models import Outbox
from catalog.outbox.services import outbox_run
from orders.approvals.services import ApprovalEvidence, quote_decline
from tests.factories import NOW, sent_make

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("small_kitchen")]


def declined_mails(**facts: object) -> dict[str, tuple[str, str]]:
    """Return text and HTML of the mails of a declined quote, by their kind."""
    quote, found = sent_make(**{"allergies": (), **facts}), {}
    for kind in ("quote_sent", "kitchen_declined"):
        if kind == "kitchen_declined":
            quote_decline(quote_id=quote.pk, reason="Too dear", evidence=ApprovalEvidence(), at=NOW + timedelta(days=1))
        row = Outbox.objects.filter(payload__mail=kind).latest("pk")
        assert outbox_run(row_id=row.pk, at=row.run_after)
        message = mail.outbox[-1]
        assert isinstance(message, EmailMultiAlternatives)
        html = str(message.alternatives[0].content)  # type: ignore[attr-defined]
        found[kind] = " ".join(str(message.body).split()), html
    return found


def test_allergies_nobody_asked_about_are_the_kitchens_to_ask() -> None:
    mails = declined_mails()
    for text in mails["kitchen_declined"]:
        assert "Allergies: not asked yet. Ask before anything is made for " in text
        assert "tell us" not in text
        assert "speak with us" not in text
    for text in mails["quote_sent"]:
        assert "We have not asked you yet." in text
        assert "speak with us" in text


def test_the_customers_note_is_theirs_to_the_kitchen() -> None:
    mails = declined_mails(allergy_note="No walnuts for Ida, please.", allergies=("tree-nuts",))
    for text in mails["kitchen_declined"]:
        assert "You told us" not in text
        assert "No walnuts for Ida, please." in text
    for text in mails["quote_sent"]:
        assert "You told us: No walnuts for Ida, please." in text
