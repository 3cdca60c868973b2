"""Splits the shipped fonts for pages: what nearly every page needs is one small file, the rest is loaded when used.

Run by hand after a change of the fonts: ``.venv/bin/python config/scripts/web_fonts.py``. It writes ``fonts/web/`` and
``css/fonts.css`` below ``config/static/``. PDFs go on using the whole files.
"""

from collections.abc import Iterable
from pathlib import Path
from typing import Final, NamedTuple

from fontTools import subset
from fontTools.ttLib import TTFont

STATIC: Final = Path(__file__).resolve().parents[1] / "static"
FONTS: Final = STATIC / "fonts"
WEB: Final = FONTS / "web"
SHEET: Final = STATIC / "css" / "fonts.css"
#: English, the small letters of western Europe, and what is set between them.
COMMON: Final = frozenset(
    [*range(0x20, 0x7F), *range(0xDF, 0x100), *map(ord, "\N{NO-BREAK SPACE}\N{THIN SPACE}£§©«»°·º¼½¾×–—‘’‚“”„•…‹›€−")]
)
#: Features of the fonts that pages use; hinting is none in these files.
FEATURES: Final = ("ccmp", "kern", "liga", "lnum", "locl", "mark", "mkmk", "pnum", "rvrn", "tnum")
_LICENCE_NAMES: Final = (0, 1, 2, 13, 14)
_HEAD: Final = (
    "/* Written by config/scripts/web_fonts.py. A file is loaded when a page uses a character of its range. */\n"
)


class Style(NamedTuple):
    """A family of the pages, and the shipped files it is made of: the first goes before the second."""

    family: str
    latin: str
    extended: str
    descriptors: str


STYLES: Final = (
    Style(
        "Coldset Sans",
        "atkinson-hyperlegible-next-latin-400-normal",
        "atkinson-hyperlegible-next-latin-ext-400-normal",
        "font-weight: 400;",
    ),
    Style(
        "Coldset Sans Bold",
        "atkinson-hyperlegible-next-latin-700-normal",
        "atkinson-hyperlegible-next-latin-ext-700-normal",
        "font-weight: 700;",
    ),
    Style(
        "Coldset Sans Slant",
        "atkinson-hyperlegible-next-latin-400-italic",
        "atkinson-hyperlegible-next-latin-ext-400-italic",
        "font-style: italic; font-weight: 400;",
    ),
    Style("Coldset Serif", "newsreader-latin-500-normal", "newsreader-latin-ext-500-normal", "font-weight: 500;"),
)


def characters(font: Path) -> frozenset[int]:
    """Return the code points of a font file."""
    with TTFont(font, lazy=True) as opened:
        return frozenset(opened.getBestCmap())


def _written(source: Path, code_points: frozenset[int], target: Path) -> None:
    """Write a font with these characters alone."""
    options = subset.Options(
        flavor="woff2",
        hinting=False,
        notdef_outline=True,
        layout_features=list(FEATURES),
        name_IDs=list(_LICENCE_NAMES),
    )
    font = subset.load_font(str(source), options)
    chosen = subset.Subsetter(options)
    chosen.populate(unicodes=code_points)
    chosen.subset(font)
    subset.save_font(font, str(target), options)


def unicode_range(code_points: Iterable[int]) -> str:
    """Write code points as a sheet does: ``U+20-7E, U+A0``."""
    spans: list[list[int]] = []
    for point in sorted(code_points):
        if spans and point == spans[-1][1] + 1:
            spans[-1][1] = point
        else:
            spans.append([point, point])
    return ", ".join(f"U+{first:X}" if first == last else f"U+{first:X}-{last:X}" for first, last in spans)


def _face(style: Style, file: str, code_points: frozenset[int]) -> str:
    return (
        f'@font-face {{ font-family: "{style.family}"; src: url("../fonts/{file}.woff2") format("woff2"); '
        f"{style.descriptors} font-display: swap; unicode-range: {unicode_range(code_points)}; }}\n"
    )


def main() -> None:
    """Write the font files and the sheet that names them."""
    WEB.mkdir(exist_ok=True)
    faces = []
    for style in STYLES:
        latin, source = characters(FONTS / f"{style.latin}.woff2"), FONTS / f"{style.latin}.woff2"
        for part, code_points in (("common", latin & COMMON), ("more", latin - COMMON)):
            file = f"web/{style.latin.replace('latin', part)}"
            _written(source, code_points, FONTS / f"{file}.woff2")
            faces.append(_face(style, file, code_points))
        faces.append(_face(style, style.extended, characters(FONTS / f"{style.extended}.woff2") - latin))
    SHEET.write_text(_HEAD + "".join(faces), encoding="utf-8")


if __name__ == "__main__":
    main()
