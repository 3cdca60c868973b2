"""Files as responses: with our file names, without content sniffing and caching; and the page that waits for one."""

from collections.abc import Iterable, Mapping
from http import HTTPStatus
from typing import Any, TypeVar

from django.http import HttpRequest, HttpResponse, HttpResponseBase, StreamingHttpResponse
from django.shortcuts import render
from django.utils.http import content_disposition_header

from orders.documents.models import Document, PreparedFile
from orders.documents.selectors import RequestedFile, requested_file

Response = TypeVar("Response", bound=HttpResponseBase)


def file_or_wait(
    request: HttpRequest,
    file: RequestedFile,
    context: Mapping[str, Any],
    *,
    template: str = "orders/documents/being_made.html",
    inline: bool = False,
) -> HttpResponse:
    """Return the stored PDF, or a page that waits for it.

    With ``look`` in the query the page is shown in either case: it looks again by itself, and then has a link to the
    file instead of turning into one.
    """
    if file.document is not None and "look" not in request.GET:
        return shown_inline(file.document) if inline else download(file.document)
    return _waiting(request, file, context, template)


def prepared_or_wait(request: HttpRequest, file: PreparedFile, context: Mapping[str, Any]) -> HttpResponseBase:
    """Return a prepared file piece by piece, or a page that waits for it; ``look`` as above."""
    requested = requested_file(file)
    if requested.ready and "look" not in request.GET:
        return streamed(file.pieces(), file.file_name, file.media_type)
    return _waiting(request, requested, context, "orders/documents/being_made.html")


def _waiting(request: HttpRequest, file: RequestedFile, context: Mapping[str, Any], template: str) -> HttpResponse:
    status = HTTPStatus.OK if file.ready else HTTPStatus.ACCEPTED
    page = {**context, "file": file, "look": f"{request.path}?look=1"}
    return render(request, template, page, status=status)


def download(document: Document) -> HttpResponse:
    """Return a stored document's own bytes, as a file to save."""
    return attachment(document.body, document.file_name, document.media_type)


def shown_inline(document: Document) -> HttpResponse:
    """Return a stored document's own bytes, to be shown in the browser."""
    return _file(document.body, document.file_name, document.media_type, as_attachment=False)


def attachment(body: bytes, name: str, media_type: str) -> HttpResponse:
    """Return bytes as a download."""
    return _file(body, name, media_type, as_attachment=True)


def streamed(pieces: Iterable[bytes], name: str, media_type: str) -> StreamingHttpResponse:
    """Return bytes as a download while they are made."""
    return _named(StreamingHttpResponse(pieces, content_type=media_type), name, as_attachment=True)


def _file(body: bytes, name: str, media_type: str, *, as_attachment: bool) -> HttpResponse:
    return _named(HttpResponse(body, content_type=media_type), name, as_attachment=as_attachment)


def _named(response: Response, name: str, *, as_attachment: bool) -> Response:
    disposition = content_disposition_header(as_attachment=as_attachment, filename=name)
    response["Content-Disposition"] = disposition or ("attachment" if as_attachment else "inline")
    return response
