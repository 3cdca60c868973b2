"""Files as responses: with our file names, without content sniffing and caching."""

from django.http import HttpResponse
from django.utils.http import content_disposition_header

from orders.documents.models import Document


def download(document: Document) -> HttpResponse:
    """Return a stored document's bytes."""
    return attachment(bytes(document.body), document.file_name, document.media_type)


def attachment(body: bytes, name: str, media_type: str) -> HttpResponse:
    """Return bytes as a download."""
    response = HttpResponse(body, content_type=media_type)
    response["Content-Disposition"] = content_disposition_header(as_attachment=True, filename=name) or "attachment"
    return response
