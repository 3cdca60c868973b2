"""The files of pictures."""

from typing import Final

from django.http import Http404, HttpRequest, HttpResponse, HttpResponseBase
from django.utils.cache import get_conditional_response, patch_cache_control
from django.views.decorators.http import require_safe

from catalog.pictures.selectors import file_body
from catalog.web.access import ANYBODY, allow

_TYPES: Final = {"jpg": "image/jpeg", "png": "image/png"}
_YEAR: Final = 365 * 24 * 60 * 60


@allow(ANYBODY)
@require_safe
def picture_file(request: HttpRequest, sha256: str, width: int, suffix: str) -> HttpResponseBase:
    """Return a picture's file in a width: whoever knows its hash has seen a page with it, and it never changes."""
    body = file_body(sha256, width, suffix) if suffix in _TYPES else None
    if body is None:
        raise Http404
    etag = f'"{sha256[:32]}-{width}"'
    whole = HttpResponse(body, content_type=_TYPES[suffix])
    response = get_conditional_response(request, etag=etag, response=whole) or whole
    response["ETag"] = etag
    patch_cache_control(response, public=True, max_age=_YEAR, immutable=True)
    return response
