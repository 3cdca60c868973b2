"""An uploaded picture made anew: checked before it is unpacked, turned upright, in sRGB, in our sizes, its pixels only.

Nothing else of the file gets through: no EXIF, place, thumbnail, color profile, comment, or what was hung on behind it.
"""

import struct
import warnings
from io import BytesIO
from typing import Final

from PIL import Image, ImageCms, UnidentifiedImageError

from catalog.pictures.uploads import MOST_BYTES, MOST_PIXELS, USES, Made, Unusable, Use

_FORMATS: Final = ("JPEG", "PNG", "WEBP")
#: How files begin that people take for pictures which browsers show everywhere, and which they are.
_OTHERS: Final = (
    (0, b"GIF8", "gif"),
    (0, b"BM", "bmp"),
    (0, b"II*\x00", "tiff"),
    (0, b"MM\x00*", "tiff"),
    (0, b"%PDF", "pdf"),
    (4, b"ftypavif", "avif"),
    (4, b"ftypavis", "avif"),
    (4, b"ftyphei", "heic"),
    (4, b"ftyphev", "heic"),
    (4, b"ftypmif1", "heic"),
    (4, b"ftypmsf1", "heic"),
)
#: Where a camera says how it was held, and what turns its picture upright.
_ORIENTATION: Final = 0x0112
_TURNS: Final = {
    2: Image.Transpose.FLIP_LEFT_RIGHT,
    3: Image.Transpose.ROTATE_180,
    4: Image.Transpose.FLIP_TOP_BOTTOM,
    5: Image.Transpose.TRANSPOSE,
    6: Image.Transpose.ROTATE_270,
    7: Image.Transpose.TRANSVERSE,
    8: Image.Transpose.ROTATE_90,
}
_QUALITY: Final = 82
_SRGB: Final = ImageCms.createProfile("sRGB")


def picture_made(use: str, body: bytes) -> Made:
    """Return the picture in our sizes.

    Raises
    ------
    Unusable
        If it is no picture we take, or too much of one.
    """
    wanted = USES[use]
    _check_kind(body)
    if body[:4] == b"RIFF":
        _check_size(*_webp_size(body), wanted)
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # what Pillow warns of is checked here
        image = _opened(body, wanted)
        upright = _upright(image, wanted)
    return _files(upright, wanted)


def _check_kind(body: bytes) -> None:
    if not body:
        raise Unusable("empty")
    if len(body) > MOST_BYTES:
        raise Unusable("too_large")
    for at, mark, kind in _OTHERS:
        if body[at : at + len(mark)] == mark:
            raise Unusable("other_kind", kind=kind)
    head = body[:1024].lstrip(b"\xef\xbb\xbf \t\r\n").lower()
    if head.startswith((b"<svg", b"<?xml")) or (head.startswith(b"<!") and b"<svg" in head):
        raise Unusable("other_kind", kind="svg")


def _check_size(width: int, height: int, use: Use) -> None:
    """Refuse too many pixels, too few, or a strip; nothing is unpacked yet."""
    if width * height > MOST_PIXELS:
        raise Unusable("too_many_pixels", millions=-(-width * height // 1_000_000))
    if min(width, height) < use.least:
        raise Unusable("too_small", width=width, height=height, least=use.least)
    if width > use.widest * height or height > use.highest * width:
        raise Unusable("too_narrow", width=width, height=height)


def _webp_size(body: bytes) -> tuple[int, int]:
    """Return the size that a WebP file states, because opening it already makes room for all of it."""
    try:
        match body[12:16]:
            case b"VP8X":
                if body[20] & 0x02:
                    raise Unusable("moves")
                return 1 + int.from_bytes(body[24:27], "little"), 1 + int.from_bytes(body[27:30], "little")
            case b"VP8L":
                (bits,) = struct.unpack_from("<I", body, 21)
                return 1 + (bits & 0x3FFF), 1 + (bits >> 14 & 0x3FFF)
            case b"VP8 ":
                width, height = struct.unpack_from("<HH", body, 26)
                return width & 0x3FFF, height & 0x3FFF
    except (IndexError, struct.error):
        raise Unusable("cut_off") from None
    raise Unusable("no_picture")


def _opened(body: bytes, use: Use) -> Image.Image:
    """Open the file and look at what it states; its pixels are not read yet."""
    try:
        image = Image.open(BytesIO(body), formats=_FORMATS)
    except Image.DecompressionBombError:
        raise Unusable("far_too_many_pixels") from None
    except UnidentifiedImageError:
        raise Unusable("no_picture") from None
    except (OSError, ValueError, SyntaxError, struct.error, IndexError):
        raise Unusable("cut_off") from None
    # Telephones put several pictures into one JPEG; the first is the one that was taken.
    if image.format in ("PNG", "WEBP") and getattr(image, "n_frames", 1) > 1:
        raise Unusable("moves")
    _check_size(*image.size, use)
    return image


def _upright(image: Image.Image, use: Use) -> Image.Image:
    """Return the picture's pixels as they are looked at, not larger than our largest size."""
    box = use.boxes[-1]
    try:
        image.draft(None, (box[0] * 2, box[1] * 2))  # a JPEG is unpacked at the size that is needed
        image.load()
        profile, turned = image.info.get("icc_profile"), _TURNS.get(image.getexif().get(_ORIENTATION, 1))
        image = _plain_mode(image)
        # All that follows takes memory once more for each pixel.
        image = image.reduce(max(1, max(image.size) // (2 * max(box))))
        image = image if turned is None else image.transpose(turned)
        image.thumbnail(box, Image.Resampling.LANCZOS)
    except (OSError, ValueError, SyntaxError, struct.error, IndexError, EOFError, TypeError):
        raise Unusable("cut_off") from None
    return _on_white(_in_srgb(image, profile), use)


def _plain_mode(image: Image.Image) -> Image.Image:
    """Return it with eight bits a channel, as gray, RGB or CMYK, with its transparency."""
    if image.mode.startswith("I"):
        return image.convert("I").point(lambda value: value * (1 / 256)).convert("L")
    if "transparency" in image.info or image.mode in ("PA", "LA"):
        return image.convert("RGBA")
    return image if image.mode in ("L", "RGB", "RGBA", "CMYK") else image.convert("RGB")


def _in_srgb(image: Image.Image, profile: object) -> Image.Image:
    """Return the colors as every screen understands them; a profile that makes no sense is ignored."""
    mode = "RGBA" if image.mode == "RGBA" else "RGB"
    if isinstance(profile, bytes):
        try:
            source = ImageCms.ImageCmsProfile(BytesIO(profile))
            found = ImageCms.profileToProfile(image, source, _SRGB, outputMode=mode)
            if found is not None:
                return found
        except (ImageCms.PyCMSError, OSError, ValueError, TypeError):
            pass
    return image.convert(mode)


def _on_white(image: Image.Image, use: Use) -> Image.Image:
    """Return new pixels without anything that came along with the file; clear parts become white, but in a logo."""
    clear = image.mode == "RGBA" and image.getchannel("A").getextrema()[0] != 255
    if clear and use.see_through:
        new = Image.new("RGBA", image.size)
        new.paste(image)
        return new
    new = Image.new("RGB", image.size, "white")
    new.paste(image, mask=image.getchannel("A") if image.mode == "RGBA" else None)
    return new


def _files(image: Image.Image, use: Use) -> Made:
    """Write it in each size, none larger than it is; a logo as PNG where that is clear or small, all else as JPEG."""
    sizes: list[Image.Image] = []
    for box in use.boxes:
        copy = image.copy()
        copy.thumbnail(box, Image.Resampling.LANCZOS)
        if not sizes or copy.width > sizes[-1].width:
            sizes.append(copy)
    suffix, bodies = "jpg", [_jpeg(copy) for copy in sizes] if image.mode == "RGB" else []
    if use.see_through:
        drawn = [_png(copy) for copy in sizes]
        if not bodies or len(drawn[-1]) <= 2 * len(bodies[-1]):
            suffix, bodies = "png", drawn
    return Made(suffix, tuple(copy.size for copy in sizes), tuple(bodies))


def _jpeg(image: Image.Image) -> bytes:
    out = BytesIO()
    image.save(out, "JPEG", quality=_QUALITY, optimize=True, subsampling="4:2:0")
    return out.getvalue()


def _png(image: Image.Image) -> bytes:
    out = BytesIO()
    image.save(out, "PNG", optimize=True)
    return out.getvalue()
