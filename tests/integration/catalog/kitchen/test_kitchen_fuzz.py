"""Whatever is sent to the kitchen's own pages, the answer is a page and never a fault of the service."""

import pytest
from django.urls import reverse
from hypothesis import given, settings
from hypothesis import strategies as st

from catalog.price_rules.models import PriceRule
from catalog.rates.models import Role, Station
from catalog.taxes.models import TaxCategory, TaxRate
from tests.integration.catalog.book.forms import whole_kitchen
from tests.integration.catalog.book.test_book import taken_over
from tests.integration.catalog.kitchen_addresses import urlpatterns
from tests.integration.catalog.kitchen_pages import PROFILE, signed_in

pytestmark = pytest.mark.django_db

FIELDS = (
    *PROFILE,
    *("hourly", "on_cost", "kind", "monthly_hours", "places", "air_c", "air", "monthly_labor_hours", "monthly_orders"),
    *("per_labor_hour", "per_order", "role", "per_km", "margin", "tax", "product", "category", "customer_kind"),
    *("from_units", "minimum", "untdid", "exempt_reason", "rate", "starts"),
    *(f"{prefix}-{key}" for prefix in ("week", "closed", "costs") for key in ("TOTAL_FORMS", "INITIAL_FORMS")),
    *("week-0-weekday", "week-0-opens", "week-0-closes", "closed-0-date", "closed-0-reason"),
    *("costs-0-name", "costs-0-amount", "costs-0-carrier", "costs-0-DELETE"),
)
#: Sound values beside which a nasty one gets as far as the services and the database.
SOUND = PROFILE | {
    "hourly": "4",
    "kind": "oven",
    "margin": "50",
    "untdid": "S",
    "rate": "8",
    "starts": "2031-01-01",
    "week-TOTAL_FORMS": "1",
    "week-INITIAL_FORMS": "0",
    "closed-TOTAL_FORMS": "1",
    "closed-INITIAL_FORMS": "0",
    "costs-TOTAL_FORMS": "1",
    "costs-INITIAL_FORMS": "0",
}
NASTY = st.one_of(
    st.sampled_from(
        [
            "",
            "0",
            "-1",
            "1",
            "3",
            "99999999999999999999",
            "1e400",
            "NaN",
            "Infinity",
            "½",
            "١٢",
            "1,2,3",
            "%",
            "$",
            "\0",
        ]
    ),
    st.sampled_from(
        ["2027-02-30", "0000-00-00", "9999-12-31", "24:00", "12:60", "station-", "station-x", "labour", "on"]
    ),
    st.text(max_size=40),
)


def addresses() -> list[str]:
    taken_over(whole_kitchen())
    models = {
        "kitchen-roles": Role,
        "kitchen-stations": Station,
        "kitchen-rules": PriceRule,
        "kitchen-taxes-rate-delete": TaxRate,
        "kitchen-taxes": TaxCategory,
    }
    found = []
    for pattern in urlpatterns:
        name = str(pattern.name)
        if "<int:pk>" in str(pattern.pattern):
            row = next(model for start, model in models.items() if name.startswith(start)).objects.first()
            found += [reverse(name, args=[row.pk]), reverse(name, args=[10**19])]
        else:
            found.append(reverse(name))
    return found


def test_anything_may_be_sent():
    client = signed_in()
    pages = addresses()

    @given(page=st.sampled_from(pages), sent=st.dictionaries(st.sampled_from(FIELDS), NASTY, max_size=5))
    @settings(max_examples=120)
    def send(page: str, sent: dict[str, str]) -> None:
        assert client.post(page, SOUND | sent).status_code < 500

    send()


def test_every_page_takes_an_empty_form_and_is_there_to_read():
    client = signed_in()
    for page in addresses():
        assert client.get(page).status_code in (200, 302, 404, 405)
        assert client.post(page, {}).status_code in (200, 302, 404, 409, 422)
