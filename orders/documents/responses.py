"""Files as answers: named by us, never sniffed, never kept by a cache."""

from django.http import HttpResponse
from django.utils.http import content_disposition_header

from orders.documents.models import Document


def download(document: Document) -> HttpResponse:
    """Give a kept document's own bytes."""
    return attachment(bytes(document.body), document.file_name, document.media_type)


def attachment(body: bytes, name: str, media_type: str) -> HttpResponse:
    """Give bytes as a file to save."""
    response = HttpResponse(body, content_type=media_type)
    response["Content-Disposition"] = content_disposition_header(as_attachment=True, filename=name) or "attachment"
    return response
