"""Pictures for pages and documents, and which of them nothing shows."""

from collections.abc import Iterable
from datetime import datetime
from functools import reduce
from operator import or_
from typing import Final

from django.db.models import Q, QuerySet

from catalog.pictures.models import Picture, PictureFile
from catalog.pictures.refs import PictureRef
from catalog.records.uses import protected

#: Wider than any file; no database is asked for more.
_WIDEST: Final = 10_000


def ref_of(picture: Picture | None, alt: str) -> PictureRef | None:
    """Return what a page needs of a picture, described by ``alt``."""
    if picture is None:
        return None
    return PictureRef(picture.sha256, picture.suffix, alt, tuple((width, height) for width, height in picture.sizes))


def file_body(sha256: str, width: int, suffix: str) -> bytes | None:
    """Return the bytes of a picture in a width; None if there is none."""
    if width > _WIDEST:
        return None
    found = PictureFile.objects.filter(picture__sha256=sha256, picture__suffix=suffix, width=width)
    body = found.values_list("body", flat=True).first()
    return None if body is None else bytes(body)


def printed_bodies(refs: Iterable[PictureRef]) -> dict[str, bytes]:
    """Return the bytes of the files that a document shows of some pictures, by their names: one query."""
    wanted = {ref.printed: Q(picture__sha256=ref.sha256, width=ref.at_least(0, 200)[0]) for ref in refs}
    if not wanted:
        return {}
    rows = PictureFile.objects.filter(reduce(or_, wanted.values())).values_list(
        "picture__sha256", "picture__suffix", "width", "body"
    )
    return {f"{sha256}/{width}.{suffix}": bytes(body) for sha256, suffix, width, body in rows}


def pictures_unused(before: datetime) -> QuerySet[Picture]:
    """Return pictures uploaded before a moment that no product, logo or sent quote shows."""
    old = Picture.objects.filter(uploaded_at__lt=before, quoted_at=None)
    return old.exclude(pk__in=protected(Picture, old.values_list("pk", flat=True)))
