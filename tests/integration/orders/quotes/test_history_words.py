"""The history says what was saved and what was e-mailed, and a changed deposit what it was."""

from dataclasses import replace

import pytest

from catalog.kitchen.models import Kitchen
from orders.documents.content import content_read
from orders.orders.presenters import _mailed_note
from orders.quotes.changes import changes_between
from orders.quotes.draft.services import draft_save
from orders.quotes.models import Quote
from orders.quotes.presenters import change_sentences, quote_history
from orders.records.models import AuditEntry
from tests.factories import BY, NOW, draft_make, line_make, sent_make, table_make

pytestmark = pytest.mark.django_db


def history(quote: Quote) -> dict[str, str]:
    """Return the notes of a quote's history by what happened."""
    entries = AuditEntry.objects.filter(document="quote", document_pk=quote.pk).order_by("pk")
    return {row.what: row.note for row in quote_history(entries)}


def test_a_saved_table_says_what_is_another_in_it(small_kitchen: Kitchen) -> None:
    """Seen: "products saved", five times in a row."""
    quote = draft_make(table=table_make(lines=(line_make("walnut-cake", 1),), extras=()))
    lines = (line_make("walnut-cake", 3), line_make("rice-glass", 24))
    draft_save(quote_id=quote.pk, table=table_make(lines=lines, extras=()), by=BY, at=NOW)
    note = history(quote)["products saved"]
    assert ": 3 instead of 1" in note
    assert "24 × " in note
    assert " added" in note


def test_a_document_that_was_e_mailed_is_named() -> None:
    sent = {"to": "ida@example.org"}
    assert _mailed_note(AuditEntry(params={**sent, "number": "I-00001"})) == "I-00001 to ida@example.org"
    assert _mailed_note(AuditEntry(params=sent)) == "to ida@example.org"


def test_a_changed_deposit_says_what_it_was(small_kitchen: Kitchen) -> None:
    """Seen: "Deposit: $817.74." among what a revision changed."""
    content = content_read(sent_make().content)
    after = replace(content, deposit_minor=content.deposit_minor + 1_000)
    words = " ".join(change_sentences(changes_between(content, after)))
    assert "Deposit: $" in words
    assert " instead of $" in words.partition("Deposit: ")[2]
    days = " ".join(change_sentences(changes_between(content, replace(content, deposit_days=content.deposit_days + 2))))
    assert f"Deposit: due {content.deposit_days + 2} days after approval instead of {content.deposit_days}." in days
    balance = changes_between(content, replace(content, balance_days=content.balance_days + 7))
    assert f"Balance: due {content.balance_days + 7} days after the invoice instead of" in change_sentences(balance)[0]
    none = replace(content, deposit_minor=0)
    assert "instead of" not in " ".join(change_sentences(changes_between(none, replace(none, deposit_minor=500))))
