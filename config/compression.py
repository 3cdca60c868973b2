"""Pages leave compressed."""

from django.http import HttpRequest, HttpResponseBase
from django.middleware.gzip import GZipMiddleware


class CompressionMiddleware(GZipMiddleware):
    """Compresses pages and nothing else: files are compressed already, and what is streamed shall not wait.

    The length of a compressed answer can tell a secret in it to whoever makes the page repeat guesses many times
    (BREACH). Django masks the token of forms anew in each answer and pads each answer by a random length, and the
    session's cookie is not sent with what another site loads (SameSite).
    """

    def process_response(self, request: HttpRequest, response: HttpResponseBase) -> HttpResponseBase:
        """Compress the answer when it is a page."""
        if response.streaming or not response.get("Content-Type", "").startswith("text/html"):
            return response
        return super().process_response(request, response)
