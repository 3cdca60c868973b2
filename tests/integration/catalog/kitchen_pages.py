"""Helpers for tests of the kitchen's pages: signing in, form data, page text."""

import re
from typing import Any

from django.http import HttpResponse
from django.test import Client

from catalog.web.access import OWNER
from tests import factories

#: A profile as the form submits it.
PROFILE: dict[str, str] = {
    "name": "Tansy Row Desserts",
    "legal_name": "",
    "address": "14 Tansy Row",
    "country": "US",
    "email": "kitchen@tansyrow.example",
    "phone": "",
    "currency": "USD",
    "locale": "en_US",
    "time_zone": "America/New_York",
    "measures": "us",
    "cup": "us",
    "degrees": "F",
    "distance": "mi",
    "paper": "Letter",
    "allergen_list": "us",
    "food_safety": "us",
    "room_c": "75",
    "away_c": "77",
    "time_out_minutes": "",
    "time_out_source": "",
    "longest_wait_min": "",
    "checks_note": "",
    "prices": "net",
    "price_step": "$0.25",
    "waste": "3 %",
    "floor_margin": "40",
    "order_minimum": "1,250",
    "rush_rate": "15",
    "tax_name": "Sales tax",
    "tax_number": "",
    "tax_note": "",
    "quote_valid_days": "14",
    "deposit_share": "30",
    "deposit_days": "7",
    "final_count_days": "10",
    "balance_days": "7",
    "cancellation_terms": "",
    "approve_button": "Approve and commit to pay",
    "payment_details": "",
}


def signed_in(role: str = OWNER) -> Client:
    """Return a browser in which somebody of this role is signed in."""
    client = Client()
    client.force_login(factories.user_make(role, name=f"somebody-{role}"))
    return client


def rows(prefix: str, *filled: dict[str, Any]) -> dict[str, str]:
    """Return formset rows as submitted."""
    submitted = {f"{prefix}-TOTAL_FORMS": str(len(filled)), f"{prefix}-INITIAL_FORMS": "0"}
    for number, row in enumerate(filled):
        submitted |= {f"{prefix}-{number}-{key}": str(value) for key, value in row.items()}
    return submitted


def calendar(**filled: list[dict[str, Any]]) -> dict[str, str]:
    """Return the hours page's rows: of ``week``, ``handover``, ``days``, ``closed`` those left out are none."""
    found: dict[str, str] = {}
    for prefix in ("week", "handover", "days", "closed"):
        found |= rows(prefix, *filled.get(prefix, []))
    return found


def text(response: HttpResponse | Any) -> str:
    """Return what a page says, tags taken out and entities resolved."""
    body = response.content.decode()
    body = re.sub(r"<[^>]*>", " ", body)
    for entity, character in (("&#x27;", "'"), ("&quot;", '"'), ("&amp;", "&"), ("&nbsp;", " ")):
        body = body.replace(entity, character)
    return " ".join(body.split())


def shows(response: HttpResponse | Any, value: str) -> bool:
    """Return whether a value stands in its input."""
    return f'value="{value}"' in response.content.decode()
