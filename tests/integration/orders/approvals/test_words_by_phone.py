"""What a customer says on the phone is answered as what they write is: somebody states what it names."""

import pytest
from django.urls import reverse

from orders.approvals.models import Approval, Message
from orders.quotes.draft.message_answers import words_beyond
from orders.quotes.models import Quote
from tests.factories import NOW, kitchen_make, sent_make
from tests.integration.catalog.kitchen_pages import signed_in, text

pytestmark = pytest.mark.django_db
WORDS = "Her nephew Wim must not get near anything with sumac."


@pytest.fixture
def sent(monkeypatch: pytest.MonkeyPatch) -> Quote:
    monkeypatch.setattr("django.utils.timezone.now", lambda: NOW)
    kitchen_make()
    return sent_make()


def test_what_is_said_beside_yes_waits_to_be_stated(sent: Quote) -> None:
    owner, address = signed_in(), reverse("quote-record-approval", args=[sent.pk])
    assert "Choose how it was approved." in text(owner.post(address, {"name": "Ida", "reason": WORDS}))
    assert not Approval.objects.exists()
    owner.post(address, {"name": "Ida", "how": "phone", "their_words": "Her nephew Wim brings the flowers."})
    message = Message.objects.get()
    assert (message.text, message.by, message.seen_at) == ("Her nephew Wim brings the flowers.", "Ida", None)
    assert "Her nephew Wim brings the flowers." in text(owner.get(reverse("quote", args=[sent.pk])))


def test_without_words_there_is_no_message(sent: Quote) -> None:
    signed_in().post(reverse("quote-record-approval", args=[sent.pk]), {"name": "Ida", "how": "person"})
    assert Approval.objects.exists()
    assert not Message.objects.exists()


@pytest.mark.parametrize(
    ("name", "words", "stated"),
    [
        ("Ida Fenwick", "", ""),
        ("Ida Fenwick", "All good.", "All good."),
        ("Ida, no sumac", "", "Ida, no sumac"),
        ("Wim no sumac", "All good.", "Wim no sumac\nAll good."),
    ],
)
def test_more_than_a_name_is_part_of_what_was_said(name: str, words: str, stated: str) -> None:
    assert words_beyond(name, words) == stated
