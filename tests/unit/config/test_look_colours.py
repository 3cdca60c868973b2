"""The stylesheet's own colours against WCAG 2.2: 4.5:1 for text (1.4.3), 3:1 for borders and focus (1.4.11).

Relative luminance and contrast ratio as defined in WCAG 2.2, section 5 ("relative luminance", "contrast ratio").
"""

import re
from itertools import pairwise
from pathlib import Path

import pytest

from catalog.web.charts.margins import GOOD, LOW
from catalog.web.charts.plan import KINDS
from catalog.web.charts.price_bar import FILLS, LOSS
from catalog.web.charts.svg import CARD, INK, SOFT

STATIC = Path(__file__).resolve().parents[3] / "config" / "static"
TOKENS = dict(re.findall(r"--([a-z-]+): (#[0-9a-f]{6});", (STATIC / "css" / "tokens.css").read_text()))


def luminance(colour: str) -> float:
    shares = [int(colour[at : at + 2], 16) / 255 for at in (1, 3, 5)]
    linear = [share / 12.92 if share <= 0.04045 else ((share + 0.055) / 1.055) ** 2.4 for share in shares]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def contrast(one: str, other: str) -> float:
    light, dark = sorted((luminance(one), luminance(other)), reverse=True)
    return (light + 0.05) / (dark + 0.05)


def test_the_measure_is_right_for_black_on_white() -> None:
    assert contrast("#000000", "#ffffff") == pytest.approx(21)


@pytest.mark.parametrize("ground", ["paper", "card"])
@pytest.mark.parametrize("text", ["ink", "soft", "plum", "plum-deep", "leaf", "apricot", "beet", "sky"])
def test_text_is_legible_on_its_grounds(text: str, ground: str) -> None:
    assert contrast(TOKENS[text], TOKENS[ground]) >= 4.5


@pytest.mark.parametrize("name", ["leaf", "apricot", "beet", "sky"])
def test_a_note_is_legible_on_its_wash(name: str) -> None:
    wash = TOKENS[f"{name}-wash"]
    for text in (name, "ink", "plum"):
        assert contrast(TOKENS[text], wash) >= 4.5


@pytest.mark.parametrize("ground", ["plum", "plum-deep"])
def test_the_main_buttons_words_are_legible(ground: str) -> None:
    assert contrast(TOKENS["on-plum"], TOKENS[ground]) >= 4.5


@pytest.mark.parametrize("ground", ["paper", "card"])
@pytest.mark.parametrize("edge", ["line", "plum", "beet"])
def test_borders_of_fields_and_the_focus_ring_stand_out(edge: str, ground: str) -> None:
    assert contrast(TOKENS[edge], TOKENS[ground]) >= 3


def test_every_colour_in_the_stylesheets_is_a_token() -> None:
    for sheet in ("coldset.css", "forms.css", "pictures.css"):
        colours = set(re.findall(r"#[0-9a-fA-F]{3,8}\b", (STATIC / "css" / sheet).read_text()))
        assert colours == set(), sheet
    used = set()
    for sheet in (STATIC / "css").glob("*.css"):
        used |= set(re.findall(r"var\(--([a-z0-9-]+)\)", sheet.read_text()))
    known = set(re.findall(r"--([a-z0-9-]+):", (STATIC / "css" / "tokens.css").read_text()))
    assert used <= known


def test_words_and_edges_in_the_charts_stand_out() -> None:
    for text in (INK, SOFT, "#a3122f"):
        assert contrast(text, CARD) >= 4.5
    for ground, edge in KINDS.values():
        assert contrast(INK, ground) >= 4.5
        assert contrast(edge, ground) >= 3


def test_bars_stand_out_from_the_card_and_neighbours_differ() -> None:
    """Words never stand on them: each is named in the row beside it, and a gap of the card parts it from the next."""
    for fill in (*FILLS.values(), LOSS, GOOD, LOW):
        assert contrast(fill, CARD) >= 3
    kinds = list(FILLS)
    neighbours = [*pairwise(kinds), ("overhead", "margin"), ("delivery", "margin")]
    for left, right in neighbours:
        assert contrast(FILLS[left], FILLS[right]) >= 1.3
    assert len({*FILLS.values(), LOSS}) == len(FILLS) + 1


def test_each_font_file_has_a_family_name_of_its_own() -> None:
    """PDF rendering embeds one file only of two that share family and weight, and prints wrong glyphs."""
    faces = re.findall(
        r'@font-face \{ font-family: "([^"]+)"; src: url\("\.\./fonts/([^"]+)"\)',
        (STATIC / "css" / "document.css").read_text(),
    )
    assert len(faces) == 9
    assert len({family for family, _ in faces}) == len(faces)
    for _, file in faces:
        assert (STATIC / "fonts" / file).is_file()
    assert {path.name for path in (STATIC / "fonts").glob("*-OFL.txt")} == {
        "atkinson-hyperlegible-next-OFL.txt",
        "newsreader-OFL.txt",
    }
