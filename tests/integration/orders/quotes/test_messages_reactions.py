"""A food outside every list that a message tells a reaction of is offered, and is not in the list until it is there."""

from datetime import timedelta

import pytest
from django.urls import reverse

from orders.approvals.services import ApprovalEvidence, quote_ask_change
from orders.inquiries.models import Inquiry
from orders.records.need_errors import NeedsNotInList
from tests.answering import message_answered
from tests.factories import NOW, kitchen_make, sent_make
from tests.integration.catalog.kitchen_pages import signed_in, text
from tests.integration.forms_on_pages import edit_form_of
from tests.refusals import refused

pytestmark = pytest.mark.django_db
LATER = NOW + timedelta(hours=2)


@pytest.mark.parametrize(
    ("words", "needs"),
    [
        (
            "Ella is coeliac, and two more on her table. My other daughter's tongue itches with kiwi.",
            {"gluten": 3, "other:kiwi": 1},
        ),
        ("Bo's throat closes up with strawberries", {"other:strawberries": None}),
        ("Ella is coeliac. Bo's throat closes up with jackfruit.", {"gluten": None, "other:jackfruit": None}),
    ],
)
def test_it_is_offered_and_refused_as_recorded_until_it_is(
    words: str, needs: dict[str, int | None], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("django.utils.timezone.now", lambda: LATER)
    kitchen_make(phone="555 0100")
    sent = sent_make(allergies=(), asked_none=True)
    message = quote_ask_change(quote_id=sent.pk, text=words, evidence=ApprovalEvidence(), at=LATER)
    owner, address = signed_in(), reverse("inquiry-edit", args=[sent.inquiry_id])
    form = edit_form_of(owner.get(f"{address}?needs=note"))
    with refused(NeedsNotInList, match="Not in the list"):
        message_answered(message, at=LATER, recorded=True)
    assert owner.post(address, form.data()).status_code == 302
    inquiry = Inquiry.objects.get(pk=sent.inquiry_id)
    assert {code: inquiry.need_counts.get(code) for code in inquiry.allergies} == needs
    message_answered(message, at=LATER, recorded=True)


@pytest.mark.parametrize(
    ("words", "guests"),
    [
        ("Two of my cousins are vegan and another three at the bar", "5"),
        ("The Fays are vegan, and two more", ""),
        ("Ella and two more are vegan", ""),
    ],
)
def test_a_number_that_nobody_can_tell_is_asked_and_not_the_smaller_one_offered(
    words: str, guests: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("django.utils.timezone.now", lambda: LATER)
    kitchen_make(phone="555 0100")
    sent = sent_make(allergies=(), asked_none=True)
    quote_ask_change(quote_id=sent.pk, text=words, evidence=ApprovalEvidence(), at=LATER)
    page = signed_in().get(f"{reverse('inquiry-edit', args=[sent.inquiry_id])}?needs=note")
    assert (edit_form_of(page).fields.get("guests-vegan") or [""])[0] == guests
    assert ("How many guests?" in text(page)) == (not guests)
