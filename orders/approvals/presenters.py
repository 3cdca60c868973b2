"""The address of a private link, and why a quote can no longer be answered, in words."""

from django.conf import settings
from django.urls import reverse

from orders.approvals.quote_page import QuotePage
from orders.quotes.draft.presenters import label_change_words
from orders.records.presenters import sentence


def link_address(token: str) -> str:
    """Return the private address of a quote's page, with the token."""
    return f"{settings.SITE_URL}{reverse('link-login', args=[token])}"


def changed_sentences(page: QuotePage) -> list[str]:
    """Write what each dessert declares by now and the quote does not."""
    return [f"{change.name}: {'; '.join(label_change_words(change))}." for change in page.changed]


def closed_sentence(page: QuotePage) -> str:
    """Write why the quote can no longer be answered; empty while it can."""
    return sentence(page.closed) if page.closed else ""
