"""The customer's pages are behind a private link: a browser that opened one."""

from django.test import Client
from django.urls import reverse
from django.utils import timezone

from orders.approvals.links import link_create
from orders.quotes.models import Quote


def entered(client: Client, quote: Quote) -> Client:
    """Return a client that opened a new link of a quote's number."""
    client.get(reverse("link-login", args=[link_create(quote_id=quote.pk, at=timezone.now())]))
    return client
