"""Files as responses: with our file names, without content sniffing and caching."""

from django.http import HttpResponse
from django.utils.http import content_disposition_header

from orders.documents.models import Document


def download(document: Document) -> HttpResponse:
    """Return a stored document's own bytes, as a file to save."""
    return attachment(document.body, document.file_name, document.media_type)


def shown_inline(document: Document) -> HttpResponse:
    """Return a stored document's own bytes, to be shown in the browser."""
    return _file(document.body, document.file_name, document.media_type, as_attachment=False)


def attachment(body: bytes, name: str, media_type: str) -> HttpResponse:
    """Return bytes as a download."""
    return _file(body, name, media_type, as_attachment=True)


def _file(body: bytes, name: str, media_type: str, *, as_attachment: bool) -> HttpResponse:
    response = HttpResponse(body, content_type=media_type)
    disposition = content_disposition_header(as_attachment=as_attachment, filename=name)
    response["Content-Disposition"] = disposition or ("attachment" if as_attachment else "inline")
    return response
