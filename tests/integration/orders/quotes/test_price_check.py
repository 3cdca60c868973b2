"""Why this price: every figure of a line opens to its sum."""

import re

import pytest
from django.test import Client
from django.urls import reverse

from tests.factories import draft_make, kitchen_make, user_make

pytestmark = pytest.mark.django_db


def test_every_cost_of_a_line_opens_to_its_formula(client: Client) -> None:
    kitchen_make()
    quote = draft_make()
    client.force_login(user_make())
    page = client.get(reverse("quote-price-check", args=[quote.pk])).content.decode()
    table = page[page.index("What each line is made of") :].split("</table>")[0]
    heads = re.findall(r'<th scope="col"[^>]*>(.*?)</th>', table)
    rows = re.findall(r'<tr><th scope="row">.*?</tr>', table, re.DOTALL)
    assert len(rows) == quote.lines.count()
    for row in rows:
        figures = dict(zip(heads, re.findall(r"<t[hd] .*?</t[hd]>", row, re.DOTALL), strict=True))
        closed = [head for head, figure in figures.items() if '<details class="why">' not in figure]
        assert closed == ["Product", "Margin"]
