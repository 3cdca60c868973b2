"""What a page or a document needs of a picture: its address, its sizes and its words. A sent quote stores it."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any


@dataclass(frozen=True, slots=True)
class PictureRef:
    """A picture by its hash, with width and height of each of its files, the smallest first; ``alt`` describes it."""

    sha256: str
    suffix: str
    alt: str
    sizes: tuple[tuple[int, int], ...]

    @property
    def largest(self) -> tuple[int, int]:
        """Width and height of the largest file."""
        return self.sizes[-1]

    def name(self, width: int) -> str:
        """Return the name of the file of a width, as addresses and documents write it."""
        return f"{self.sha256}/{width}.{self.suffix}"

    @property
    def printed(self) -> str:
        """The name of the file for documents: sharp at 16 mm on paper."""
        return self.name(self.at_least(0, 200)[0])

    def at_least(self, width: int, height: int = 0) -> tuple[int, int]:
        """Return the size of the smallest file that is so wide and high, or else of the largest."""
        return next((size for size in self.sizes if size[0] >= width and size[1] >= height), self.largest)


def ref_read(data: Mapping[str, Any] | None) -> PictureRef | None:
    """Read a picture from a stored content."""
    if data is None:
        return None
    sizes = tuple((width, height) for width, height in data["sizes"])
    return PictureRef(data["sha256"], data["suffix"], data["alt"], sizes)
