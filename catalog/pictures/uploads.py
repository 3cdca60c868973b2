"""What may be uploaded as a picture, and why a file is refused."""

from dataclasses import dataclass
from typing import Any, Final

#: Most bytes of a file: more than a telephone's photograph has.
MOST_BYTES: Final = 12 * 1024 * 1024
#: Most pixels, looked at before anything is unpacked; the largest telephones take 48 to 50 million.
MOST_PIXELS: Final = 51_000_000


@dataclass(frozen=True, slots=True)
class Use:
    """What a picture is for: the boxes its files fit into, its least side in pixels, how long and narrow it may be."""

    boxes: tuple[tuple[int, int], ...]
    least: int
    widest: int
    highest: int
    see_through: bool


#: The photograph of a product: a list's, a telephone's, a desk's size.
PHOTO: Final = Use(boxes=((320, 320), (640, 640), (1200, 1200)), least=240, widest=3, highest=3, see_through=False)
#: A logo: as high as the head of a page and of a document needs it.
LOGO: Final = Use(boxes=((320, 96), (800, 240)), least=24, widest=10, highest=3, see_through=True)
USES: Final = {"photo": PHOTO, "logo": LOGO}


@dataclass(frozen=True, slots=True)
class Made:
    """A picture made anew from an upload: its pixels and nothing else of the file."""

    suffix: str
    sizes: tuple[tuple[int, int], ...]
    bodies: tuple[bytes, ...]


class Unusable(Exception):
    """A file that is not taken as a picture, with the reason's code and its values."""

    def __init__(self, code: str, **params: Any) -> None:
        self.code, self.params = code, params
        super().__init__(code)
