"""HEAD gives the headers of GET and no body, whoever makes the answer: views, errors, redirects, files."""

from contextlib import closing
from io import BytesIO
from typing import Any

import pytest
from django.core.handlers.wsgi import WSGIHandler
from django.http import HttpRequest, HttpResponse, HttpResponseBase, StreamingHttpResponse
from django.test import Client, RequestFactory

from config.head import HeadMiddleware
from tests import factories
from tests.integration.config.routes import routes

pytestmark = pytest.mark.django_db
PATHS = ("/", "/health", "/robots.txt", "/sign-in", "/nowhere", "/q/not-a-link/", "/static/css/coldset.css")


def answer(method: str, path: str) -> tuple[str, dict[str, str], bytes]:
    """Ask as a server does, which sends on whatever the application gives."""
    found: dict[str, Any] = {}

    def start(status: str, headers: list[tuple[str, str]], _: object = None) -> None:
        found.update(status=status, headers={name.lower(): value for name, value in headers})

    server = {"SERVER_NAME": "localhost", "SERVER_PORT": "80", "wsgi.url_scheme": "http", "wsgi.input": BytesIO()}
    response = WSGIHandler()({"REQUEST_METHOD": method, "PATH_INFO": path, **server}, start)
    with closing(response):
        body = b"".join(response)
    return found["status"], found["headers"], body


@pytest.mark.parametrize("path", PATHS)
def test_head_has_the_headers_of_get_and_no_body(path: str) -> None:
    factories.kitchen_make()
    status, headers, body = answer("GET", path)
    again, of_head, nothing = answer("HEAD", path)
    assert nothing == b""
    assert again == status
    assert of_head.get("content-length") == headers.get("content-length") == str(len(body))


def test_a_streamed_answer_is_not_read_for_head() -> None:
    def view(_: HttpRequest) -> HttpResponseBase:
        return StreamingHttpResponse(pytest.fail("read") for _ in range(1))

    response = HeadMiddleware(view)(RequestFactory().head("/"))
    assert isinstance(response, StreamingHttpResponse)
    assert b"".join(response) == b""


@pytest.mark.parametrize("status", [204, 304])
def test_an_answer_that_has_no_body_gets_no_length(status: int) -> None:
    response = HeadMiddleware(lambda _: HttpResponse(status=status))(RequestFactory().head("/"))
    assert "Content-Length" not in response


@pytest.mark.parametrize("method", ["GET", "HEAD"])
def test_a_link_that_is_only_looked_at_is_answered_without_a_length(method: str) -> None:
    server = {"HTTP_SEC_PURPOSE": "prefetch"}
    response = Client().generic(method, f"/q/{'x' * 43}/", **server)
    assert (response.status_code, response.content) == (204, b"")
    assert "Content-Length" not in response


def test_every_page_that_can_be_read_answers_head_in_the_same_way(client: Client) -> None:
    factories.kitchen_make()
    client.force_login(factories.user_make())
    client.raise_request_exception = False
    differ = []
    for route in routes():
        got, headed = client.get(route.path), client.head(route.path)
        if got.status_code != headed.status_code and route.name != "link-login":
            differ.append((route.name, got.status_code, headed.status_code))
    assert differ == []
