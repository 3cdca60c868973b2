"""What the log says of a day's work: one line for each request, and nobody's personal data."""

import io
import json
import logging
import smtplib
from collections.abc import Iterator
from typing import Any

import pytest
from django.core import mail
from django.test import Client, override_settings

from catalog.outbox.models import Outbox
from catalog.outbox.services import outbox_sweep
from config.logs import JsonFormatter, OneLineEach
from orders.approvals.links import link_create
from orders.approvals.models import Approval
from orders.quotes.models import Quote
from tests import factories
from tests.factories import NOW

CUSTOMER = {"name": "Zephyrine Okonkwo", "email": "zephyrine@quillfeather.example", "phone": "555 7391"}
TITLE = "Zephyrine's garden feast"
#: What may not be in any line: the customer's data, what was entered, who works here, secrets.
PERSONAL = (
    *("Zephyrine", "Okonkwo", "quillfeather", "7391", "garden feast", "marzipan", "dandelion"),
    *(factories.BY, factories.PASSWORD, "127.0.0.1", "Ropewalk", "Mozilla", "elsewhere.example"),
)


@pytest.fixture
def lines(monkeypatch: pytest.MonkeyPatch) -> Iterator[io.StringIO]:
    """Everything the service logs, as it would be written."""
    written = io.StringIO()
    handler = logging.StreamHandler(written)
    handler.setFormatter(JsonFormatter())
    handler.addFilter(OneLineEach())
    root = logging.getLogger()
    monkeypatch.setattr(root, "level", logging.INFO)
    root.addHandler(handler)
    logging.getLogger("django").manager._clear_cache()  # type: ignore[attr-defined]  # the level is remembered
    yield written
    root.removeHandler(handler)


def read(lines: io.StringIO) -> list[dict[str, Any]]:
    return [json.loads(line) for line in lines.getvalue().splitlines()]


def refused_mail(self: object, messages: list[mail.EmailMessage]) -> int:
    raise smtplib.SMTPRecipientsRefused({messages[0].to[0]: (550, b"unknown: Zephyrine")})


@pytest.mark.django_db(transaction=True)
def test_a_walk_from_sign_in_to_a_failed_mail_leaves_no_personal_data_in_any_line(
    lines: io.StringIO, monkeypatch: pytest.MonkeyPatch
) -> None:
    factories.kitchen_make()
    user = factories.user_make()
    monkeypatch.setattr("django.utils.timezone.now", lambda: NOW)
    monkeypatch.setattr("django.core.mail.backends.locmem.EmailBackend.send_messages", refused_mail)
    staff = Client(headers={"User-Agent": "Mozilla/5.0 (dandelion)"})
    staff.post("/sign-in?next=/inquiries/?search=Zephyrine", {"username": factories.BY, "password": "dandelion"})
    staff.post("/sign-in", {"username": factories.BY, "password": factories.PASSWORD})
    staff.get("/inquiries/customers/?search=Zephyrine+Okonkwo")
    draft = factories.draft_make(customer=factories.customer_data(**CUSTOMER), title=TITLE)
    staff.post(f"/inquiries/{draft.inquiry_id}/edit/", {"title": TITLE, "note": "marzipan"})
    staff.post(f"/quotes/{draft.pk}/send/", {"override": ""})
    quote = factories.sent_make(customer=factories.customer_data(**CUSTOMER), title=TITLE)
    outbox_sweep(at=NOW)
    token = link_create(quote_id=quote.pk, at=NOW)
    phone = Client()
    phone.get(f"/q/{token}/?from=Zephyrine")
    shown = Quote.objects.get(pk=quote.pk)
    answer = {"name": CUSTOMER["name"], "content_sha256": shown.content_sha256}
    phone.post(f"/q/{quote.pk}/approve/", answer)
    phone.post(f"/q/{quote.pk}/change/", {"text": "more marzipan"})
    assert Approval.objects.filter(quote=quote).exists()
    outbox_sweep(at=NOW)
    failed = Outbox.objects.filter(kind="mail").exclude(error={})
    assert failed.exists()

    text = lines.getvalue()
    assert [word for word in (*PERSONAL, token) if word in text] == []
    found = read(lines)
    requests = [line for line in found if line["logger"] == "config.request_log"]
    assert {"sign-in", "customers", "link-login", "quote-page-approve"} <= {line["route"] for line in requests}
    assert len(requests) == 8
    customers = next(line for line in requests if line["route"] == "customers")
    assert (customers["method"], customers["status"], customers["user"]) == ("GET", 200, user.pk)
    approved = next(line for line in requests if line["route"] == "quote-page-approve")
    assert approved["about"] == f"quote:{quote.pk}"
    work = [line for line in found if line["logger"] == "catalog.outbox.services" and "error" in line]
    of_approval = [line for line in work if line.get("request_id") == approved["request_id"]]
    assert of_approval
    assert {(line["about"], line["work"]) for line in of_approval} == {(f"quote:{quote.pk}", "mail")}
    assert {line["outbox"] for line in work} == set(failed.values_list("pk", flat=True))
    assert work[0]["error"]["type"] == "smtplib.SMTPRecipientsRefused"


@pytest.mark.django_db
def test_the_answer_carries_the_id_of_its_lines(client: Client, lines: io.StringIO) -> None:
    answer = client.get("/sign-in")
    (line,) = read(lines)
    assert line["request_id"] == answer["X-Request-ID"]
    assert (line["level"], line["route"], line["status"]) == ("INFO", "sign-in", 200)
    assert line["duration_ms"] >= 0


@pytest.mark.django_db
@override_settings(SECURE_PROXY_SSL_HEADER=("HTTP_X_FORWARDED_PROTO", "https"))
def test_a_proxys_id_is_passed_on_to_the_work_that_was_asked_for(client: Client) -> None:
    answer = client.get("/sign-in", headers={"X-Request-ID": "0198c2d4-trace-77"})
    assert answer["X-Request-ID"] == "0198c2d4-trace-77"


@pytest.mark.django_db
@pytest.mark.parametrize(
    ("address", "headers", "data", "status", "reason"),
    [
        ("/sign-in", {"Host": "elsewhere.example"}, None, 400, "DisallowedHost"),
        ("/sign-in", {}, {"username": "x"}, 403, "csrf"),
        ("/sign-in", {}, {f"f{number}": "1" for number in range(4001)}, 413, "TooManyFieldsSent"),
        ("/kitchen/", {}, None, 403, "WrongRole"),
    ],
)
def test_a_refused_request_is_one_line_with_its_reason_and_no_traceback(
    lines: io.StringIO, address: str, headers: dict[str, str], data: dict[str, str] | None, status: int, reason: str
) -> None:
    client = Client(enforce_csrf_checks=reason == "csrf")
    if reason == "WrongRole":
        client.force_login(factories.user_make("bookkeeper"))
    answer = client.get(address, headers=headers) if data is None else client.post(address, data, headers=headers)
    assert answer.status_code == status
    (line,) = read(lines)
    assert (line["level"], line["status"], line["refused"]) == ("WARNING", status, reason)
    assert "error" not in line
    assert "elsewhere" not in lines.getvalue()


@pytest.mark.django_db
def test_a_page_that_is_not_there_is_one_quiet_line_without_its_address(client: Client, lines: io.StringIO) -> None:
    client.get("/zephyrine/okonkwo")
    (line,) = read(lines)
    assert (line["level"], line["status"], line["route"]) == ("INFO", 404, "")
    assert "okonkwo" not in lines.getvalue()


@pytest.mark.django_db
@pytest.mark.urls("tests.browser.specimen.urls")
def test_a_mistake_of_ours_is_its_stack_and_the_line_of_the_request(client: Client, lines: io.StringIO) -> None:
    client.raise_request_exception = False
    client.get("/specimen/breaks?who=Zephyrine")
    stack, request = read(lines)
    assert stack["request_id"] == request["request_id"]
    assert (stack["level"], stack["error"]["type"]) == ("ERROR", "RuntimeError")
    assert (request["level"], request["status"]) == ("ERROR", 500)
    assert "Zephyrine" not in lines.getvalue()
