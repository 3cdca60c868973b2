"""To check and to send a quote reads each row once, and the words of products once for a Book."""

from typing import Any
from unittest.mock import patch

from django.test import Client

from catalog.book.selectors import book_current
from orders.quotes.draft import names_denied
from orders.quotes.models import Quote
from orders.quotes.send.services import quote_send
from tests.factories import BY, NOW
from tests.sending import holding_seen, words_read


def test_a_quote_is_sent_with_few_queries(quote: Quote, django_assert_max_num_queries: Any) -> None:
    seen = {"unstated_seen": holding_seen(quote.pk), "read": words_read(quote.pk)}
    with django_assert_max_num_queries(46):
        quote_send(quote_id=quote.pk, by=BY, at=NOW, settled=True, not_asked_seen=True, **seen)


def test_the_page_before_it_is_sent_takes_few_queries(
    quote: Quote, owner: Client, django_assert_max_num_queries: Any
) -> None:
    owner.get(f"/quotes/{quote.pk}/send/")
    with django_assert_max_num_queries(34):
        assert owner.get(f"/quotes/{quote.pk}/send/").status_code == 200


def test_names_of_products_are_read_once_for_a_book(quote: Quote) -> None:
    book, codes = book_current(), list(quote.lines.values_list("product__code", flat=True))
    found = names_denied.names_denied(book, codes)
    with patch.object(names_denied, "_parts", side_effect=AssertionError("read again")):
        assert names_denied.names_denied(book, codes) == found
