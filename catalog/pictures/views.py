"""The files of pictures."""

from typing import Final

from django.http import Http404, HttpRequest, HttpResponse, HttpResponseBase
from django.utils.cache import get_conditional_response
from django.views.decorators.http import require_safe

from catalog.pictures.selectors import file_body
from catalog.web.access import ANYBODY, allow

_TYPES: Final = {"jpg": "image/jpeg", "png": "image/png"}


@allow(ANYBODY)
@require_safe
def picture_file(request: HttpRequest, sha256: str, width: str, suffix: str) -> HttpResponseBase:
    """Return a picture's file in a width: whoever knows its hash has seen a page with it, and it never changes."""
    etag = f'"{sha256[:32]}-{width}"'
    answer = get_conditional_response(request, etag=etag)
    if not isinstance(answer, HttpResponse) or answer.status_code != 304:
        body = file_body(sha256, int(width), suffix)
        if body is None:
            raise Http404
        answer = HttpResponse(body, content_type=_TYPES[suffix])
    answer["Cache-Control"] = "public, max-age=31536000, immutable"
    answer["ETag"] = etag
    return answer
