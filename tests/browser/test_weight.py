"""What the customer's page weighs on its way to a phone, measured in Chromium as the service is deployed."""

from collections.abc import Iterator
from pathlib import Path

import pytest
from django.core.cache import cache
from django.test import override_settings
from django.utils import timezone

from orders.approvals.links import link_create
from orders.approvals.presenters import link_address
from tests.browser.conftest import OpenPage
from tests.factories import kitchen_make, sent_make
from tests.served import collected, server, weighed

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]
#: The most a first load of a page may bring [bytes].
MOST = 75_000
#: The most the customer's page may bring to a phone, without photographs [bytes].
MOST_OF_THE_QUOTE_PAGE = 50 * 1024


@pytest.fixture
def served(tmp_path: Path) -> Iterator[str]:
    """The service as it is deployed.

    Settings are put back in the order they were changed in: pytest-django's own fixture would do it after this one, and
    leave the storage of the collected files to every test that follows in the process.
    """
    cache.clear()
    with (
        collected(tmp_path),
        server() as address,
        override_settings(SITE_URL=address, CSRF_TRUSTED_ORIGINS=[address]),
    ):
        yield address


def test_the_quote_page_is_light_and_takes_few_requests(served: str, open_page: OpenPage) -> None:
    kitchen_make(cancellation_terms="Up to 30 days before: the deposit comes back.")
    page = open_page(width=390)
    answers = weighed(page, link_address(link_create(quote_id=sent_make().pk, at=timezone.now())))
    names = [answer.address.removeprefix(served) for answer in answers]
    assert page.get_by_role("link", name="Review and approve").last.is_visible()
    assert sum(answer.size for answer in answers) <= MOST_OF_THE_QUOTE_PAGE, answers
    # The link and the page it leads to, one sheet, three fonts; the browser may ask for the icon.
    assert len(names) <= 7, names
    assert not [name for name in names if name.endswith(".js")]
    assert page.evaluate("document.fonts.check('16px \"Coldset Sans\"')")


def test_characters_of_other_languages_bring_their_own_small_files(served: str, open_page: OpenPage) -> None:
    kitchen_make(name="Kuchnia Łucji i Éloïse")
    answers = weighed(open_page(), f"{served}/sign-in")
    fonts = {answer.address.rpartition("/")[2].partition(".")[0] for answer in answers if ".woff2" in answer.address}
    assert {"newsreader-common-500-normal", "newsreader-more-500-normal", "newsreader-latin-ext-500-normal"} <= fonts
    assert sum(answer.size for answer in answers) <= MOST, answers
