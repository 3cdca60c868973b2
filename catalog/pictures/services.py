"""Pictures are stored, shown somewhere, and marked once a quote with them is sent.

All of it but ``picture_hold()`` runs in the caller's transaction.
"""

import hashlib
from collections.abc import Collection
from dataclasses import dataclass
from datetime import datetime

from django.db import transaction

from catalog.pictures.models import Picture, PictureFile, PictureUse
from catalog.pictures.uploads import Made


def picture_add(made: Made, *, by: str, at: datetime) -> Picture:
    """Store a picture, once: the same upload again is the same picture, as old as its last upload."""
    digest = hashlib.sha256(made.bodies[-1]).hexdigest()
    picture, is_new = Picture.objects.get_or_create(
        sha256=digest,
        defaults={
            "suffix": made.suffix,
            "sizes": [list(size) for size in made.sizes],
            "uploaded_at": at,
            "uploaded_by": by,
        },
    )
    if not is_new:
        # What nothing shows goes by its age: somebody is about to show it again.
        picture.uploaded_at, picture.uploaded_by = max(at, picture.uploaded_at), by
        picture.save(update_fields=["uploaded_at", "uploaded_by"])
        return picture
    PictureFile.objects.bulk_create(
        PictureFile(picture=picture, width=width, body=body)
        for (width, _), body in zip(made.sizes, made.bodies, strict=True)
    )
    return picture


@transaction.atomic(durable=True)
def picture_hold(made: Made, *, by: str, at: datetime) -> Picture:
    """Store a picture whose form cannot be saved yet, so that nobody has to choose it again; nothing shows it."""
    return picture_add(made, by=by, at=at)


def pictures_quoted(hashes: Collection[str], *, at: datetime) -> None:
    """Mark pictures that a sent quote shows: they stay, whatever becomes of the products."""
    Picture.objects.filter(sha256__in=hashes, quoted_at=None).update(quoted_at=at)


@dataclass(frozen=True, slots=True)
class NewPicture:
    """A picture as its form took it: made from an upload, or the hash of one that was uploaded before; its words."""

    made: Made | None
    held: str
    alt: str


def picture_shown(use: PictureUse, new: NewPicture, *, by: str, at: datetime) -> None:
    """Show another picture, or the same one with other words; the one before it can be put back."""
    picture = picture_add(new.made, by=by, at=at) if new.made else Picture.objects.filter(sha256=new.held).first()
    if picture is not None and picture.pk != use.picture_id:
        if use.picture_id is not None:
            use.former_id, use.former_alt = use.picture_id, use.alt
        use.picture = picture
    use.alt = new.alt if use.picture_id is not None else ""


def picture_removed(use: PictureUse) -> None:
    """Show it no longer; it can be put back."""
    if use.picture_id is not None:
        use.former_id, use.former_alt = use.picture_id, use.alt
        use.picture, use.alt = None, ""


def picture_put_back(use: PictureUse) -> None:
    """Show the picture from before again; the present one, if any, takes its place."""
    if use.former_id is not None:
        before, words = use.picture_id, use.alt
        use.picture_id, use.alt = use.former_id, use.former_alt
        use.former_id, use.former_alt = before, words


def use_version(use: PictureUse) -> list[str]:
    """Return what is stored about a picture's use, for its version."""
    return [str(use.picture_id), use.alt, str(use.former_id)]
