"""What the page asks the owner to look at is asked by the service itself: who goes past the page is refused."""

import pytest

from orders.quotes.models import Quote
from orders.quotes.send.services import quote_send
from orders.records.errors import HoldingUnseen, NeedsUnsettled, OrderError
from orders.records.models import AuditEntry
from orders.records.need_errors import NotAsked
from orders.records.presenters import sentence
from orders.records.states import QuoteStatus
from tests import factories
from tests.sending import holding_seen

pytestmark = pytest.mark.django_db


@pytest.fixture
def draft() -> Quote:
    factories.kitchen_make()
    return factories.draft_make()


def refused(draft: Quote, error: type[OrderError], **facts: object) -> str:
    with pytest.raises(error) as caught:
        quote_send(quote_id=draft.pk, by=factories.BY, at=factories.NOW, **facts)  # type: ignore[arg-type]
    draft.refresh_from_db()
    assert draft.status == QuoteStatus.DRAFT
    assert not AuditEntry.objects.filter(event__in=["settle_needs", "send_unstated"]).exists()
    return sentence(caught.value)


def test_what_guests_cannot_eat_has_to_be_settled(draft: Quote) -> None:
    words = refused(draft, NeedsUnsettled, unstated_seen=holding_seen(draft.pk))
    assert "Walnut sponge cake" in words
    assert "check the box that it is settled, or change the products" in words


def test_that_nobody_asked_about_allergies_has_to_be_seen() -> None:
    factories.kitchen_make()
    table = factories.table_make(lines=(factories.line_make("quince-square", 24),), extras=())
    draft = factories.draft_make(table=table, allergies=())
    words = refused(draft, NotAsked, unstated_seen=holding_seen(draft.pk))
    assert words.startswith("The customer was not asked about allergies. Ask, and record the answer on the inquiry;")


def test_desserts_without_a_word_on_how_they_are_kept_have_to_be_seen(draft: Quote) -> None:
    words = refused(draft, HoldingUnseen, settled=True)
    assert "Quince square" in words
    assert "Write it on the product, or check the box that you have seen it." in words
    refused(draft, HoldingUnseen, settled=True, unstated_seen="another mark")


def test_what_was_settled_and_seen_goes_and_stays_on_record(draft: Quote) -> None:
    seen = holding_seen(draft.pk)
    quote_send(quote_id=draft.pk, by=factories.BY, at=factories.NOW, settled=True, unstated_seen=seen)
    assert set(AuditEntry.objects.values_list("event", flat=True)) >= {"settle_needs", "send_unstated"}


def test_nothing_is_asked_where_nothing_stands_in_the_way() -> None:
    factories.kitchen_make()
    table = factories.table_make(lines=(factories.line_make("quince-square", 24),), extras=())
    draft = factories.draft_make(table=table, allergies=(), asked_none=True)
    seen = holding_seen(draft.pk)
    sent = quote_send(quote_id=draft.pk, by=factories.BY, at=factories.NOW, unstated_seen=seen)
    assert sent.status == QuoteStatus.SENT
