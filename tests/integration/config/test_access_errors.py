"""Error pages, refusals, and what surrounds every answer."""

import logging
import re
from collections.abc import Iterator
from urllib.parse import urlencode

import pytest
from django.db import OperationalError, connection
from django.template.loader import render_to_string
from django.test import Client, RequestFactory, override_settings
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from catalog.kitchen.models import Kitchen
from catalog.records.errors import CatalogError
from catalog.web.access import KITCHEN
from config.middleware import read_display_settings
from config.refusals import STATUS, status_of
from config.unavailable import unavailable
from costing.contract import CostingError, InputErrors
from orders.records.errors import OrderError
from tests import factories

pytestmark = pytest.mark.django_db
specimen = pytest.mark.urls("tests.browser.specimen.urls")


def _below(error: type[Exception]) -> Iterator[type[Exception]]:
    yield error
    for lower in error.__subclasses__():
        yield from _below(lower)


@pytest.mark.parametrize("base", [CatalogError, OrderError, InputErrors])
def test_the_table_covers_every_refusal_and_none_is_a_server_error(base: type[Exception]) -> None:
    for error in _below(base):
        status = status_of(error)
        assert status is not None, error
        assert 400 <= status < 500, error


def test_what_another_person_changed_is_a_conflict() -> None:
    conflicts = {"changed_meanwhile", "content_moved", "plan_moved", "overtaken", "transition_not_allowed", "in_use"}
    for base in (CatalogError, OrderError):
        for error in _below(base):
            code = getattr(error, "code", "")
            assert (status_of(error) == 409) == (code in conflicts or STATUS.get(error) == 409), error
    assert status_of(RuntimeError) is None


@specimen
def test_a_refusal_is_a_page_with_its_sentence_and_a_way_back(client: Client) -> None:
    answer = client.get("/specimen/refuses", headers={"Referer": "http://testserver/inquiries/?page=2"})
    page = answer.content.decode()
    assert answer.status_code == 409
    assert "Quote Q-00012 was changed in the meantime. Look at it again before you continue." in page
    assert 'href="/inquiries/?page=2"' in page
    assert "<html" in page


@specimen
@pytest.mark.parametrize("referrer", ["https://elsewhere.example/x", "javascript:alert(1)", ""])
def test_the_way_back_never_leaves_the_site(client: Client, referrer: str) -> None:
    page = client.get("/specimen/refuses", headers={"Referer": referrer}).content.decode()
    assert "elsewhere" not in page
    assert "javascript:" not in page


@specimen
def test_a_part_of_a_page_gets_the_sentence_alone(client: Client) -> None:
    answer = client.get("/specimen/refuses", headers={"HX-Request": "true"})
    assert answer.status_code == 409
    assert "<html" not in answer.content.decode()
    assert "changed in the meantime" in answer.content.decode()


def test_all_that_is_wrong_with_a_book_is_reported() -> None:
    from config.refusals import sentences

    error = InputErrors(
        [CostingError("no_density", "book#/x", "Cream needs a density."), CostingError("x", "y", "Two.")]
    )
    assert sentences(error) == ["Cream needs a density.", "Two."]


@specimen
def test_a_mistake_of_ours_shows_a_page_without_asking_the_database(
    client: Client, caplog: pytest.LogCaptureFixture
) -> None:
    client.raise_request_exception = False
    with caplog.at_level(logging.CRITICAL, logger="django.request"):
        answer = client.get("/specimen/breaks")
    assert answer.status_code == 500
    page = answer.content.decode()
    assert "Something broke on our side" in page
    assert "RuntimeError" not in page


@specimen
def test_an_address_that_leads_nowhere_says_so_in_the_layout_of_its_reader(client: Client) -> None:
    staff = client.get("/nowhere")
    customer = client.get("/q/missing")
    assert staff.status_code == customer.status_code == 404
    assert "There is nothing at this address" in staff.content.decode()
    assert 'class="quote-page"' in customer.content.decode()
    assert 'name="robots" content="noindex' in customer.content.decode()


def test_a_form_from_an_old_page_explains_itself() -> None:
    answer = Client(enforce_csrf_checks=True).post("/sign-in", {"username": "ida"})
    assert answer.status_code == 403
    assert "This form was open for too long" in answer.content.decode()


def test_what_was_typed_into_an_old_page_is_shown_to_copy_but_no_password_and_nothing_foreign() -> None:
    form = {
        "text": "Eighty <b>tarts</b>",
        "row-0-what": "Lemon",
        "password": "s3cret",
        "new_password_again": "s3cret",
        "one_time_code": "s3cret",
        "idempotency_key": "kkk",
        "row-TOTAL_FORMS": "7",
    }
    client = Client(enforce_csrf_checks=True)
    ours = {"Origin": "http://testserver", "Referer": "http://testserver/q/7/change/"}
    page = client.post("/sign-in", form, headers=ours).content.decode()
    assert "Eighty &lt;b&gt;tarts&lt;/b&gt;" in page
    assert "<dt>What</dt><dd>Lemon</dd>" in page
    assert 'href="http://testserver/q/7/change/"' in page
    assert not {"s3cret", "kkk"} & set(re.findall(r"\w+", page))
    foreign = {"Origin": "https://elsewhere.example", "Referer": "https://elsewhere.example/"}
    page = client.post("/sign-in", form, headers=foreign).content.decode()
    assert "Eighty" not in page
    assert "elsewhere" not in page


@pytest.mark.django_db
def test_what_was_typed_after_signing_out_is_shown_with_the_way_back(client: Client) -> None:
    ours = {"Origin": "http://testserver", "Referer": "http://testserver/inquiries/new/"}
    answer = client.post(reverse("inquiry-new"), {"title": "Wedding of Noor and Emil"}, headers=ours)
    page = answer.content.decode()
    assert answer.status_code == 403
    assert "<dt>Title</dt><dd>Wedding of Noor and Emil</dd>" in page
    assert 'href="http://testserver/inquiries/new/"' in page
    assert client.post(reverse("inquiry-new"), {}, headers=ours).status_code == 302


def test_there_is_no_stock_admin(client: Client) -> None:
    assert client.get("/admin/").status_code == client.get("/admin/login/").status_code == 404


@pytest.mark.parametrize(
    ("body", "status", "words"),
    [
        ({"username": "a" * (5 * 1024 * 1024)}, 413, "larger than 5 MB"),
        ({f"field-{at}": "" for at in range(4001)}, 413, "more than 4,000 fields"),
    ],
    ids=["bytes", "fields"],
)
def test_a_request_no_form_can_send_is_refused_in_a_sentence(
    client: Client, body: dict[str, str], status: int, words: str
) -> None:
    client.raise_request_exception = False
    response = client.post(
        reverse("sign-in"), urlencode(body).encode(), content_type="application/x-www-form-urlencoded"
    )
    assert response.status_code == status
    assert words in response.content.decode()


FORM = "application/x-www-form-urlencoded"
UNREADABLE = {
    "bytes": (b"a=" + b"x" * (5 * 1024 * 1024), FORM),
    "fields": (urlencode({f"field-{at}": "" for at in range(4001)}).encode(), FORM),
    "encoding": (b"a=\xff", f"{FORM}; charset=latin-1"),
    "boundary": (b"a", "multipart/form-data; boundary="),
}


@pytest.mark.parametrize("what", UNREADABLE)
def test_a_page_that_is_not_there_says_so_also_to_a_form_that_cannot_be_read(client: Client, what: str) -> None:
    client.raise_request_exception = False
    client.force_login(factories.user_make())
    body, kind = UNREADABLE[what]
    for address in ("/nowhere/", reverse("quote-withdraw", args=[4711]), reverse("two-step-reset", args=[4711])):
        answer = client.generic("POST", address, body, content_type=kind, headers={"Origin": "http://testserver"})
        assert answer.status_code == 404


@pytest.mark.parametrize("what", UNREADABLE)
def test_a_form_that_cannot_be_read_is_not_offered_to_be_sent_again(what: str) -> None:
    body, kind = UNREADABLE[what]
    request = RequestFactory().generic("POST", "/orders/1/", body, kind, headers={"Origin": "http://testserver"})
    answer = unavailable(request, OperationalError("database is locked"))
    assert (answer.status_code, "<form" in answer.content.decode()) == (503, False)


def test_a_form_in_another_encoding_is_refused_in_a_sentence(client: Client) -> None:
    client.raise_request_exception = False
    kind = "application/x-www-form-urlencoded; charset=latin-1"
    response = client.generic("POST", reverse("sign-in"), b"username=\xff", content_type=kind)
    assert (response.status_code, "could not be read" in response.content.decode()) == (400, True)


def test_a_host_that_is_not_ours_is_refused(client: Client) -> None:
    answer = client.get("/sign-in", headers={"Host": "elsewhere.example"})
    assert answer.status_code == 400


@pytest.mark.parametrize(
    ("address", "status", "words"),
    [("/health", 200, "ok"), ("/robots.txt", 200, "Disallow: /q/"), ("/favicon.ico", 302, "")],
)
def test_what_machines_ask_for_needs_no_database(client: Client, address: str, status: int, words: str) -> None:
    with CaptureQueriesContext(connection) as queries:
        answer = client.get(address)
    assert answer.status_code == status
    assert words in answer.content.decode()
    assert len(queries) == 0


def test_a_page_reads_the_kitchen_once(client: Client) -> None:
    with CaptureQueriesContext(connection) as queries:
        client.get("/cautions")
    assert len(queries) == 1


def test_pages_say_where_scripts_and_styles_may_come_from(client: Client) -> None:
    policy = client.get("/sign-in")["Content-Security-Policy"]
    assert "script-src 'self'" in policy
    assert "style-src 'self'" in policy
    assert "unsafe" not in policy


def test_the_kitchens_name_zone_and_locale_reach_the_pages(client: Client) -> None:
    Kitchen.objects.update_or_create(
        pk=1,
        defaults={"name": "Tollgate Oven", "email": "oven@example.org", "time_zone": "Asia/Tokyo", "locale": "de_DE"},
    )
    assert "Tollgate Oven" in client.get("/cautions").content.decode()
    assert (read_display_settings().time_zone, read_display_settings().locale) == ("Asia/Tokyo", "de_DE")


def test_a_zone_or_locale_nobody_knows_does_not_take_the_service_down(client: Client) -> None:
    Kitchen.objects.update_or_create(
        pk=1, defaults={"name": "Tollgate Oven", "email": "o@example.org", "time_zone": "Mars/North", "locale": "xx_??"}
    )
    assert client.get("/cautions").status_code == 200
    assert (read_display_settings().time_zone, read_display_settings().locale) == ("UTC", "en_US")


@override_settings(SECURE_SSL_REDIRECT=True)
def test_plain_http_is_sent_to_https(client: Client) -> None:
    assert client.get("/sign-in")["Location"] == "https://testserver/sign-in"


def test_an_address_that_only_takes_forms_says_so_when_it_is_opened(client: Client) -> None:
    client.force_login(factories.user_make())
    answer = client.get(reverse("money-register-xlsx"))
    assert (answer.status_code, answer["Allow"]) == (405, "POST")
    page = answer.content.decode()
    assert "This address cannot be opened" in page
    assert "To the front page" in page


@specimen
def test_a_mistake_of_ours_sends_staff_to_whoever_runs_the_service(client: Client) -> None:
    client.raise_request_exception = False
    page = client.get("/specimen/breaks").content.decode()
    assert "tell whoever runs this service what you were doing, and when" in page
    assert "tell the kitchen" in render_to_string("site/500.html", {"customer": True})


def test_everybody_can_open_all_that_the_catalog_page_names(client: Client) -> None:
    client.force_login(factories.user_make(KITCHEN))
    page = client.get(reverse("catalog")).content.decode()
    parts = re.findall(r'<h2><a href="([^"]+)"', page)
    assert [client.get(part).status_code for part in parts] == [200, 200, 200, 200]
