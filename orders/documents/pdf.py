"""The only renderer of HTML to PDF: tagged (PDF/UA-1), with the shipped fonts and named pictures, loading nothing else.

WeasyPrint needs Pango from the system; it is imported only when a page is made, and
``orders.documents.checks`` says so when it is missing.
"""

import unicodedata
from collections.abc import Iterable, Mapping
from functools import lru_cache
from io import BytesIO
from pathlib import Path
from types import MappingProxyType
from typing import Any, Final

from django.conf import settings
from django.template.loader import render_to_string

from catalog.records.reasons import Reason
from catalog.web.display import current
from orders.records.errors import CannotRender

#: Base address of static files for the renderer; only the fonts below it can be read, and pictures that are handed in.
_BASE: Final = "file:///static/"
#: Replacement for a character that none of the shipped fonts has.
MARK: Final = "▯"
_TYPES: Final = {"jpg": "image/jpeg", "png": "image/png"}
_ALLOWED_CONTROLS: Final = frozenset("\n\t\u200d\u00ad")
#: Unicode categories that are dropped without a mark: those of a control, an invisible format, and two marks.
_DROPPED: Final = frozenset(map(unicodedata.category, "\n\u200d\u0301\u20dd"))


def fonts_dir() -> Path:
    """Return the folder of the shipped fonts."""
    return Path(settings.BASE_DIR) / "config" / "static" / "fonts"


def _css(name: str) -> str:
    return (Path(settings.BASE_DIR) / "config" / "static" / "css" / name).read_text(encoding="utf-8")


@lru_cache(maxsize=1)
def printable() -> frozenset[int]:
    """Return the code points that some shipped font can print."""
    from fontTools.ttLib import TTFont  # comes with the renderer; as slow to load as it

    found: set[int] = set()
    for path in sorted(fonts_dir().glob("*.woff2")):
        with TTFont(path, lazy=True) as font:
            found.update(font.getBestCmap())
    return frozenset(found)


def fit_to_print(text: str) -> tuple[str, bool]:
    """Return the text with characters that no font can print replaced by a mark, and whether any was replaced.

    Composed characters stay composed; controls and invisible selectors are dropped without a mark.
    """
    known = printable()
    out, marked = [], False
    for character in unicodedata.normalize("NFC", text):
        if ord(character) in known or character in _ALLOWED_CONTROLS:
            out.append(character)
        elif unicodedata.category(character) not in _DROPPED:
            out.append(_like(character, known))
            marked = marked or out[-1] == MARK
    return "".join(out), marked


def _like(character: str, known: Iterable[int]) -> str:
    """Return the character's compatibility decomposition (a fullwidth A is an A), or the mark."""
    plain = unicodedata.normalize("NFKD", character)
    return plain if plain != character and all(ord(part) in known for part in plain) else MARK


def pdf_of(
    template: str, context: dict[str, Any], *, what: str, pictures: Mapping[str, bytes] = MappingProxyType({})
) -> bytes:
    """Render a template as a PDF on the kitchen's paper.

    ``pictures`` are the bytes of the pictures it shows, by the names it has for them. The template gets ``marked``:
    whether characters had to be replaced by :data:`MARK`.

    Raises
    ------
    CannotRender
        When the renderer is missing, or the page asks for anything but the shipped fonts and these pictures.
    """
    html, marked = fit_to_print(render_to_string(template, {**context, "marked": False}))
    if marked:
        html, _ = fit_to_print(render_to_string(template, {**context, "marked": True}))
    try:
        from weasyprint.urls import FatalURLFetchingError
    except OSError as error:  # Pango is not installed
        raise CannotRender(what=what, why=Reason("no_pango")) from error
    try:
        return _rendered(html, "document-a4.css" if current().paper == "A4" else "document-letter.css", pictures)
    except FatalURLFetchingError as error:  # derives from BaseException: not caught, it would stop the worker
        raise CannotRender(what=what, why=Reason("may_not_load")) from error


def _rendered(html: str, paper: str, pictures: Mapping[str, bytes]) -> bytes:
    """Return a page as a PDF on the paper of a style sheet: the same for the same page."""
    from weasyprint import CSS, HTML
    from weasyprint.text.fonts import FontConfiguration

    fetcher = _fetcher(pictures)
    fonts = FontConfiguration()
    sheets = [
        CSS(string=_css(name), base_url=f"{_BASE}css/{name}", url_fetcher=fetcher, font_config=fonts)
        for name in ("document.css", paper)
    ]
    page = HTML(string=html, base_url=_BASE, url_fetcher=fetcher)
    return bytes(page.write_pdf(stylesheets=sheets, font_config=fonts, pdf_variant="pdf/ua-1"))


@lru_cache(maxsize=32)
def _unpacked(path: Path) -> bytes:
    """Return a shipped font decompressed, because the renderer would decompress it slowly for every document."""
    from fontTools.ttLib import woff2  # comes with the renderer; as slow to load as it

    plain = BytesIO()
    woff2.decompress(BytesIO(path.read_bytes()), plain)
    return plain.getvalue()


def _fetcher(pictures: Mapping[str, bytes]) -> Any:
    """Return a fetcher that reads the shipped fonts and some pictures by name, and raises an error for all else."""
    from weasyprint.urls import FatalURLFetchingError, URLFetcher, URLFetcherResponse

    allowed = {f"{_BASE}fonts/{path.name}": path for path in fonts_dir().glob("*.woff2")}

    named = {f"{_BASE}pictures/{name}": body for name, body in pictures.items()}

    class ShippedOnly(URLFetcher):  # type: ignore[misc]  # the renderer has no types
        def fetch(self, url: str, headers: dict[str, str] | None = None) -> Any:
            if url in named:
                return URLFetcherResponse(url, named[url], {"Content-Type": _TYPES[url.rpartition(".")[2]]})
            path = allowed.get(url)
            if path is None:
                raise FatalURLFetchingError(f"documents may not load {url[:100]!r}")
            return URLFetcherResponse(url, _unpacked(path), {"Content-Type": "font/ttf"})

    return ShippedOnly(allowed_protocols=["file"], allow_redirects=False)
