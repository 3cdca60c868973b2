"""The fonts of pages are split files of the shipped ones, and hold the same characters between them."""

import re
from collections import Counter
from itertools import chain

import pytest
from fontTools.ttLib import TTFont

from config.scripts.web_fonts import (
    COMMON,
    CUSTOMER_SHEET,
    FONTS,
    PLAIN_ZERO,
    SHEET,
    STYLES,
    Style,
    characters,
    contours,
    unicode_range,
    zeros,
)
from orders.documents.pdf import printable

FACE = re.compile(r'@font-face \{ font-family: "([^"]+)"; src: url\("\.\./fonts/([^"]+)"\).*unicode-range: ([^;]+); \}')
FACES = FACE.findall(SHEET.read_text())


@pytest.mark.parametrize("style", STYLES, ids=lambda style: style.family)
def test_the_files_of_a_family_hold_what_the_shipped_ones_hold(style: Style) -> None:
    files = [file for family, file, _ in FACES if family == style.family]
    shipped = characters(FONTS / f"{style.latin}.woff2") | characters(FONTS / f"{style.extended}.woff2")
    assert len(files) == 3
    assert set(chain.from_iterable(characters(FONTS / file) for file in files)) == shipped


@pytest.mark.parametrize("style", STYLES, ids=lambda style: style.family)
def test_a_character_is_asked_of_one_file_which_has_it(style: Style) -> None:
    asked: Counter[int] = Counter()
    for family, file, written in FACES:
        if family == style.family:
            points = set(_points(written))
            assert points <= characters(FONTS / file)
            assert unicode_range(points) == written
            asked.update(points)
    assert set(asked.values()) == {1}
    assert asked.keys() == characters(FONTS / f"{style.latin}.woff2") | characters(FONTS / f"{style.extended}.woff2")


def _points(written: str) -> list[int]:
    found: list[int] = []
    for part in written.split(", "):
        first, _, last = part.removeprefix("U+").partition("-")
        found += range(int(first, 16), int(last or first, 16) + 1)
    return found


def test_the_common_files_hold_what_an_english_or_french_page_needs() -> None:
    assert {ord(sign) for sign in "Crème brûlée: 12 × ½ lb – “façade” … £4.50 €5.10 Straße"} <= COMMON
    assert {family for family, file, _ in FACES if "common" in file} == {style.family for style in STYLES}


def test_a_document_prints_what_it_printed_before() -> None:
    assert {file.name for file in FONTS.glob("*.woff2")} >= {f"{style.latin}.woff2" for style in STYLES}
    assert all(characters(FONTS / f"{style.latin}.woff2") <= printable() for style in STYLES)


@pytest.mark.parametrize(("source", "target"), PLAIN_ZERO.items())
def test_what_customers_read_has_a_plain_zero_and_is_else_the_same_font(source: str, target: str) -> None:
    with TTFont(FONTS / f"{source}.woff2") as crossed, TTFont(FONTS / f"{target}.woff2") as plain:
        assert characters(FONTS / f"{source}.woff2") == characters(FONTS / f"{target}.woff2")
        for name in zeros(crossed):
            assert (len(contours(crossed, name)), len(contours(plain, name))) == (3, 2), "an outline and its inside"
            assert contours(crossed, name)[0] == contours(plain, name)[0]
            assert crossed["hmtx"][name][0] == plain["hmtx"][name][0], "as wide as before"
        assert contours(crossed, "eight") == contours(plain, "eight")
        assert plain["name"].getDebugName(1).endswith("Plain Zero"), "a name of its own"
    for sheet in (CUSTOMER_SHEET, CUSTOMER_SHEET.with_name("document.css")):
        assert f"{target}.woff2" in sheet.read_text().replace("plain-zero-common", "plain-zero")
        assert f"{source}.woff2" not in sheet.read_text()
