"""Splits the shipped fonts for pages: what nearly every page needs is one small file, the rest is loaded when used.

Run by hand after a change of the fonts: ``.venv/bin/python config/scripts/web_fonts.py``. It writes ``fonts/web/``,
``css/fonts.css`` and ``css/customer-fonts.css`` below ``config/static/``. PDFs go on using whole files.

The sans crosses its zero out and cannot be asked not to. What customers read has a plain one, drawn here from the
outline of the sans itself: the files named ``plain-zero``, for their pages and for documents.
"""

from collections.abc import Iterable, Mapping
from pathlib import Path
from typing import Final, NamedTuple

from fontTools import subset
from fontTools.pens.recordingPen import RecordingPen
from fontTools.pens.reverseContourPen import ReverseContourPen
from fontTools.pens.transformPen import TransformPen
from fontTools.pens.ttGlyphPen import TTGlyphPen
from fontTools.ttLib import TTFont

STATIC: Final = Path(__file__).resolve().parents[1] / "static"
FONTS: Final = STATIC / "fonts"
WEB: Final = FONTS / "web"
SHEET: Final = STATIC / "css" / "fonts.css"
#: The same families for what customers read.
CUSTOMER_SHEET: Final = STATIC / "css" / "customer-fonts.css"
#: English, the small letters of western Europe, and what is set between them.
COMMON: Final = frozenset(
    [*range(0x20, 0x7F), *range(0xDF, 0x100), *map(ord, "\N{NO-BREAK SPACE}\N{THIN SPACE}£§©«»°·º¼½¾×–—‘’‚“”„•…‹›€−")]
)
#: Features of the fonts that pages use; hinting is none in these files.
FEATURES: Final = ("ccmp", "kern", "liga", "lnum", "locl", "mark", "mkmk", "pnum", "rvrn", "tnum")
_LICENCE_NAMES: Final = (0, 1, 2, 13, 14)
_FAMILY_NAMES: Final = (1, 4, 16)
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

#: Shipped files whose zero is crossed out -> their copies with a plain one.
PLAIN_ZERO: Final[Mapping[str, str]] = {style.latin: style.latin.replace("latin", "plain-zero") for style in STYLES[:2]}


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


def zeros(font: TTFont) -> list[str]:
    """Return the names of a font's glyphs for zero that are drawn; the one for tables may refer to another."""
    named = [name for name in font.getGlyphOrder() if name.partition(".")[0] == "zero"]
    return [name for name in named if not font["glyf"][name].isComposite()]


def contours(font: TTFont, name: str) -> list[list[tuple[str, tuple[tuple[float, float], ...]]]]:
    """Return the contours of a glyph, each as the steps a pen takes."""
    pen = RecordingPen()
    font.getGlyphSet()[name].draw(pen)
    found: list[list[tuple[str, tuple[tuple[float, float], ...]]]] = []
    for step, points in pen.value:
        if step == "moveTo":
            found.append([])
        found[-1].append((step, points))
    return found


def _bounds(drawn: Iterable[list[tuple[str, tuple[tuple[float, float], ...]]]]) -> tuple[float, float, float, float]:
    points = [point for contour in drawn for _, every in contour for point in every]
    across, up = [x for x, _ in points], [y for _, y in points]
    return min(across), min(up), max(across), max(up)


def _plain(font: TTFont, name: str) -> None:
    """Redraw a crossed zero: its outline stays, and the two halves of its inside become one of the outline's shape."""
    outline, *halves = contours(font, name)
    left, bottom, right, top = _bounds([outline])
    inner_left, inner_bottom, inner_right, inner_top = _bounds(halves)
    across, up = (inner_right - inner_left) / (right - left), (inner_top - inner_bottom) / (top - bottom)
    pen = TTGlyphPen(None)
    inside = TransformPen(
        ReverseContourPen(pen), (across, 0, 0, up, inner_left - across * left, inner_bottom - up * bottom)
    )
    for target in (pen, inside):
        for step, points in outline:
            getattr(target, step)(*points)
    font["glyf"][name] = pen.glyph()
    font["hmtx"][name] = (font["hmtx"][name][0], round(left))


def _with_plain_zeros(source: Path, target: Path) -> None:
    """Write a copy of a font whose zeros are not crossed out, under a name of its own."""
    font = TTFont(source)
    for name in zeros(font):
        _plain(font, name)
    for record in font["name"].names:
        if record.nameID in _FAMILY_NAMES:
            record.string = f"{record.toUnicode()} Plain Zero"
    font.save(target)


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


def _split(latin_file: str, parts: Iterable[str]) -> None:
    """Write split files of a font."""
    source = FONTS / f"{latin_file}.woff2"
    latin = characters(source)
    for part in parts:
        code_points = latin & COMMON if part == "common" else latin - COMMON
        _written(source, code_points, FONTS / f"{_part_of(latin_file, part)}.woff2")


def _part_of(latin_file: str, part: str) -> str:
    """Return the name of a split file."""
    return f"web/{latin_file.replace('latin', part).replace('plain-zero', f'plain-zero-{part}')}"


def _faces(style: Style, common_from: str) -> str:
    """Write the faces of a style; its common characters come from the split of that file."""
    latin = characters(FONTS / f"{style.latin}.woff2")
    extended = characters(FONTS / f"{style.extended}.woff2") - latin
    return (
        _face(style, _part_of(common_from, "common"), latin & COMMON)
        + _face(style, _part_of(style.latin, "more"), latin - COMMON)
        + _face(style, style.extended, extended)
    )


def main() -> None:
    """Write the font files and the sheets that name them."""
    WEB.mkdir(exist_ok=True)
    for source, target in PLAIN_ZERO.items():
        _with_plain_zeros(FONTS / f"{source}.woff2", FONTS / f"{target}.woff2")
    for style in STYLES:
        _split(style.latin, ("common", "more"))
        if style.latin in PLAIN_ZERO:
            _split(PLAIN_ZERO[style.latin], ("common",))
    SHEET.write_text(_HEAD + "".join(_faces(style, style.latin) for style in STYLES), encoding="utf-8")
    customers = (_faces(style, PLAIN_ZERO.get(style.latin, style.latin)) for style in STYLES)
    CUSTOMER_SHEET.write_text(_HEAD + "".join(customers), encoding="utf-8")


if __name__ == "__main__":
    main()
