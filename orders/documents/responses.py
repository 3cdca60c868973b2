"""Files as responses: with our file names, without content sniffing and caching."""

from collections.abc import Iterable
from typing import TypeVar

from django.http import HttpResponse, HttpResponseBase, StreamingHttpResponse
from django.utils.http import content_disposition_header

from orders.documents.models import Document

Response = TypeVar("Response", bound=HttpResponseBase)


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
