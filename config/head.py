"""Answers to HEAD: the headers of GET, and no body."""

from collections.abc import Callable
from http import HTTPStatus
from typing import Final

from django.http import HttpRequest, HttpResponse, HttpResponseBase, StreamingHttpResponse

#: Answers that have no body to GET either (RFC 9110, 8.6).
WITHOUT_LENGTH: Final = (HTTPStatus.NO_CONTENT, HTTPStatus.NOT_MODIFIED)


class HeadMiddleware:
    """Takes the body off every answer to HEAD, and leaves its length in the headers (RFC 9110, 9.3.2).

    The server sends what it is given. A body that nobody expects would be read as the beginning of the next answer on
    the same connection.
    """

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponseBase]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponseBase:
        """Answer the request; without a body when it is HEAD."""
        response = self.get_response(request)
        if response.status_code in WITHOUT_LENGTH:
            # Django gives every answer a length, these too.
            response.headers.pop("Content-Length", None)
        if request.method != "HEAD":
            return response
        if isinstance(response, StreamingHttpResponse):
            response.streaming_content = iter(())
        elif isinstance(response, HttpResponse):
            if response.status_code not in WITHOUT_LENGTH:
                response.headers.setdefault("Content-Length", str(len(response.content)))
            response.content = b""
        return response
