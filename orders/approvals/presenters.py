"""The address of a private link, and why a quote can no longer be answered, in words."""

from django.conf import settings
from django.urls import reverse

from orders.approvals.quote_page import QuotePage
from orders.records.errors import OrderError
from orders.records.presenters import sentence


def link_address(token: str) -> str:
    """Return the private address of a quote's page, with the token."""
    return f"{settings.SITE_URL}{reverse('link-login', args=[token])}"


def closed_sentence(page: QuotePage) -> str:
    """Write why the quote can no longer be answered; empty while it can."""
    return sentence(page.closed) if page.closed else ""


def held_words(name: str, refusal: OrderError) -> str:
    """Write, for the kitchen, that somebody wanted to approve and what they read instead."""
    return f"{name.strip()} wanted to approve this quote on its page, and read: “{sentence(refusal)}”"
