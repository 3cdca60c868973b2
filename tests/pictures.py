"""Pictures for tests, drawn here: honest ones, and files that mean harm."""

import struct
import zlib
from io import BytesIO
from typing import Any

from PIL import Image, ImageCms, ImageDraw

#: What must be in no picture that is stored.
SECRET = "52 Tansy Row, in the yard"


def drawn(width: int = 800, height: int = 600, mode: str = "RGB") -> Image.Image:
    """Draw a picture whose upper left corner is red and whose lower right is blue."""
    image = Image.new("RGB", (width, height), "#c9b79c")
    draw = ImageDraw.Draw(image)
    draw.rectangle((0, 0, width // 4, height // 4), fill="red")
    draw.rectangle((width - width // 4, height - height // 4, width, height), fill="blue")
    return image.convert(mode)


def file_of(image: Image.Image, kind: str = "JPEG", **options: Any) -> bytes:
    """Return the bytes of a picture file."""
    out = BytesIO()
    image.save(out, kind, **options)
    return out.getvalue()


def photograph(width: int = 1600, height: int = 1200, orientation: int = 1) -> bytes:
    """Return a JPEG as a telephone writes it: with a place, a maker, a comment and a color profile."""
    image = drawn(width, height)
    exif = image.getexif()
    exif[0x0112], exif[0x010E], exif[0x010F] = orientation, SECRET, SECRET
    exif.get_ifd(0x8825)[2] = (47.0, 11.0, 0.0)
    profile = ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes()
    return file_of(image, exif=exif, comment=SECRET.encode(), icc_profile=profile, quality=90)


def chunk(kind: bytes, data: bytes) -> bytes:
    """Return a chunk of a PNG file."""
    return struct.pack(">I", len(data)) + kind + data + struct.pack(">I", zlib.crc32(kind + data))


def png_that_states(width: int, height: int, *more: bytes) -> bytes:
    """Return a PNG that states a size and has hardly any data."""
    head = chunk(b"IHDR", struct.pack(">IIBBBBB", width, height, 8, 2, 0, 0, 0))
    data = chunk(b"IDAT", zlib.compress(b"\0" * 1000))
    return b"\x89PNG\r\n\x1a\n" + head + b"".join(more) + data + chunk(b"IEND", b"")


def webp_that_states(width: int, height: int, flags: int = 0) -> bytes:
    """Return the head of a WebP file that states a canvas."""
    body = bytes([flags, 0, 0, 0]) + (width - 1).to_bytes(3, "little") + (height - 1).to_bytes(3, "little")
    inside = b"WEBPVP8X" + struct.pack("<I", len(body)) + body
    return b"RIFF" + struct.pack("<I", len(inside)) + inside


def animated(kind: str) -> bytes:
    """Return an animation of two pictures."""
    return file_of(drawn(), kind, save_all=True, append_images=[drawn().rotate(90)], duration=100)


def zeros(count: int, times: int) -> bytes:
    """Return ``count`` zeros, so many times, compressed: packed once and repeated.

    To pack them all takes seconds, wherever this is imported.
    """
    packer = zlib.compressobj(9, wbits=-15)
    packed = packer.compress(b"\0" * count) + packer.flush(zlib.Z_FULL_FLUSH)
    checksum = struct.pack(">I", count * times % 65_521 << 16 | 1)
    return b"\x78\xda" + packed * times + zlib.compressobj(9, wbits=-15).flush() + checksum


def text_bomb() -> bytes:
    """Return a PNG with a compressed comment of 200 MB."""
    return png_that_states(800, 600, chunk(b"zTXt", b"Comment\0\0" + zeros(1_000_000, 200)))


def pixel_bomb() -> bytes:
    """Return a whole PNG of 400 million pixels in half a megabyte."""
    head = chunk(b"IHDR", struct.pack(">IIBBBBB", 20_000, 20_000, 8, 0, 0, 0, 0))
    # A hundred rows, each with the byte of its filter.
    return b"\x89PNG\r\n\x1a\n" + head + chunk(b"IDAT", zeros(20_001 * 100, 200)) + chunk(b"IEND", b"")


#: Name of the file -> what is in it, and the code it is refused with.
HOSTILE: dict[str, tuple[bytes, str]] = {
    "nothing.jpg": (b"", "empty"),
    "page.jpg": (b"<!doctype html><script>alert(1)</script>", "no_picture"),
    "program.png": (b"MZ\x90\0" + b"\0" * 400, "no_picture"),
    "archive.webp": (b"PK\x03\x04" + b"\0" * 400, "no_picture"),
    "drawing.svg": (b'<svg xmlns="http://www.w3.org/2000/svg" onload="alert(1)"/>', "other_kind"),
    "drawing.png": (b'\xef\xbb\xbf <?xml version="1.0"?><svg xmlns="http://www.w3.org/2000/svg"/>', "other_kind"),
    "drawing.jpg": (b'<!DOCTYPE svg [<!ENTITY x SYSTEM "file:///etc/passwd">]><svg>&x;</svg>', "other_kind"),
    "dance.gif": (animated("GIF"), "other_kind"),
    "dance.png": (animated("PNG"), "moves"),
    "dance.webp": (animated("WEBP"), "moves"),
    "scan.tif": (file_of(drawn(), "TIFF"), "other_kind"),
    "old.bmp": (file_of(drawn(), "BMP"), "other_kind"),
    "menu.pdf": (b"%PDF-1.7\n" + photograph(), "other_kind"),
    "IMG_1.HEIC": (b"\0\0\0\x24ftypheic" + b"\0" * 400, "other_kind"),
    "IMG_2.jpg": (b"\0\0\0\x24ftypmif1" + b"\0" * 400, "other_kind"),
    "new.avif": (b"\0\0\0\x20ftypavif" + b"\0" * 400, "other_kind"),
    "half.jpg": (photograph()[:9000], "cut_off"),
    "half.png": (file_of(drawn(), "PNG")[:-300], "cut_off"),
    "half.webp": (file_of(drawn(), "WEBP")[:-300], "cut_off"),
    "head.png": (png_that_states(800, 600), "cut_off"),
    "head.webp": (webp_that_states(800, 600), "cut_off"),
    "stub.webp": (b"RIFF\x0c\0\0\0WEBPVP8X", "cut_off"),
    "strange.webp": (b"RIFF\x0c\0\0\0WEBPJUNK", "no_picture"),
    "line.png": (file_of(Image.new("L", (1, 100_000)), "PNG"), "too_small"),
    "strip.png": (file_of(Image.new("L", (300, 40_000)), "PNG"), "too_narrow"),
    "wide.jpg": (file_of(drawn(4000, 300)), "too_narrow"),
    "dot.png": (file_of(drawn(20, 20), "PNG"), "too_small"),
    "states.png": (png_that_states(60_000, 60_000), "far_too_many_pixels"),
    "240_million.png": (png_that_states(16_000, 15_000), "far_too_many_pixels"),
    "states.webp": (webp_that_states(16_383, 16_383), "too_many_pixels"),
    "bomb.png": (pixel_bomb(), "far_too_many_pixels"),
    "comment.png": (text_bomb(), "cut_off"),
}
