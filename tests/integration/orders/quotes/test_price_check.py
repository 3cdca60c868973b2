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
    page = client.get(reverse("quote-why", args=[quote.pk])).content.decode()
    rows = re.findall(r"<tr><th scope=\"row\">.*?</tr>", page.split("<tbody>")[1].split("</tbody>")[0], re.DOTALL)
    assert len(rows) == quote.lines.count()
    for row in rows:
        figures = re.findall(r'<td class="num">(.*?)</td>', row, re.DOTALL)
        shown = [figure for figure in figures if "$" in figure and "$0.00" not in figure]
        assert shown
        assert all('<details class="why">' in figure for figure in shown), row
