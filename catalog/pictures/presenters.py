"""Why a file is not taken as a picture, in words, each with what works."""

from typing import Final

from django.utils.translation import gettext
from django.utils.translation import gettext_noop as marked

from catalog.pictures.uploads import Unusable

_FIX: Final = marked("Choose a JPEG, PNG or WebP picture.")
_SENTENCES: Final = {
    "empty": marked("The picture’s file is empty. Choose another."),
    "too_large": marked("The picture is larger than 12 MB. Save it smaller, 2,000 pixels wide is plenty."),
    "no_picture": marked("The file is not a picture, whatever its name says. Choose a JPEG, PNG or WebP picture."),
    "cut_off": marked("The picture is damaged or was not copied whole. Open it, save it again, and choose that file."),
    "moves": marked("The picture is an animation. Choose one that stands still."),
    "too_many_pixels": marked("The picture has %(millions)s million pixels. At most 50 million work: save it smaller."),
    "far_too_many_pixels": marked(
        "The picture has more than 100 million pixels. At most 50 million work: save it smaller."
    ),
    "too_small": marked(
        "The picture is only %(width)s × %(height)s pixels. Choose one of at least %(least)s pixels on each side."
    ),
    "too_narrow": marked("The picture is a strip of %(width)s × %(height)s pixels. Crop it closer to a rectangle."),
    "too_much": marked("The picture takes too long to read. Open it, save it again as JPEG, and choose that file."),
}
_KINDS: Final = {
    "heic": marked(
        "The picture is an iPhone’s HEIC file, which few browsers show. Export it as JPEG, or set the camera to “Most"
        " Compatible”."
    ),
    "avif": marked("The picture is an AVIF file. Save it as JPEG, PNG or WebP."),
    "gif": marked("The picture is a GIF. Save it as PNG or JPEG."),
    "svg": marked("The picture is an SVG drawing, which can carry programs. Save it as PNG."),
    "tiff": marked("The picture is a TIFF or camera raw file. Save it as JPEG."),
    "bmp": marked("The picture is a BMP file. Save it as PNG or JPEG."),
    "pdf": marked("The file is a PDF. Save the picture in it as JPEG or PNG."),
}


def unusable_sentence(unusable: Unusable) -> str:
    """Write why a file is not taken as a picture."""
    if unusable.code == "other_kind":
        return gettext(_KINDS.get(unusable.params["kind"], _FIX))
    return gettext(_SENTENCES[unusable.code]) % unusable.params
