"""Charts: what they say, that they add up, that they carry nothing a browser would block."""

import re
from datetime import UTC, datetime, timedelta
from decimal import Decimal
from fractions import Fraction
from io import BytesIO
from itertools import pairwise
from xml.etree import ElementTree

import pytest
from defusedxml.ElementTree import fromstring
from django.utils import timezone
from hypothesis import given
from hypothesis import strategies as st
from pypdf import PdfReader
from weasyprint import HTML

from catalog.web.charts import (
    Age,
    BarPart,
    MarginRow,
    PriceBar,
    StripBlock,
    StripRow,
    margins,
    plan_strip,
    price_bar,
    receivables,
)
from catalog.web.charts.plan import _marks, lanes
from catalog.web.display import DisplaySettings, use

SVG = "{http://www.w3.org/2000/svg}"
START = datetime(2027, 2, 5, 11, tzinfo=UTC)
KINDS = ("ingredients", "packaging", "labour", "overhead", "margin")


def _bar(*values: Decimal | int) -> PriceBar:
    parts = [BarPart(kind, kind.capitalize(), value) for kind, value in zip(KINDS, values, strict=True)]
    return price_bar(parts, currency="USD")


def _tart() -> PriceBar:
    return _bar(10, 2, 8, 4, 16)


def _at(hours: float) -> datetime:
    return START + timedelta(hours=hours)


def _all() -> list[str]:
    return [
        _tart().whole,
        price_bar([]).whole,
        margins([MarginRow("Tart", Decimal("0.5"), Decimal("0.6"), Decimal("0.4"))]),
        margins([]),
        receivables([Age("Not due yet", 1200, 1)], currency="USD"),
        receivables([]),
        plan_strip([StripRow("Oven", (StripBlock(_at(1), _at(2), "Bases", "oven"),))], start=_at(0), end=_at(8)),
        plan_strip([], start=_at(0), end=_at(8)),
    ]


def _read(svg: str) -> ElementTree.Element:
    root: ElementTree.Element = fromstring(svg)
    return root


def _description(svg: str) -> str:
    return _read(svg).findtext(f"{SVG}desc") or ""


@pytest.mark.parametrize("number", range(8))
def test_a_picture_is_well_formed_named_and_free_of_inline_style(number: int) -> None:
    svg = _all()[number]
    root = _read(svg)
    assert root.get("role") == "img"
    names = (root.get("aria-labelledby") or "").split()
    assert names == [root[0].get("id"), root[1].get("id")]
    assert root[0].text
    assert not re.search(r"\sstyle=|<style|<script|\son[a-z]+=", svg)
    assert int(root.get("height", "0")) > 0


def test_ids_differ_between_pictures_on_one_page() -> None:
    ids = [key for svg in _all() + _all() for key in re.findall(r'\sid="([^"]+)"', svg)]
    assert len(ids) == len(set(ids))


def test_text_is_escaped() -> None:
    svg = receivables([Age('<script>"&', 1, 1)], currency="USD", title="<b>")
    assert "<script>" not in svg
    assert "<b>" not in svg
    _read(svg)


def _bars(svg: str) -> list[tuple[Fraction, Fraction]]:
    """Return start and width of the filled rectangles along the axis."""
    found = []
    for rect in _read(svg).findall(f"{SVG}rect"):
        if rect.get("fill") != "none":
            found.append((Fraction((rect.get("x") or "0")[:-1]), Fraction((rect.get("width") or "0")[:-1])))
    return found


def test_the_parts_are_drawn_in_order_and_fill_the_price() -> None:
    bars = _bars(_tart().whole)
    assert [width for _, width in bars] == [25, 5, 20, 10, 40]
    assert [x for x, _ in bars] == [0, 25, 30, 50, 60]
    assert "$40.00: Ingredients 25.0%, Packaging 5.0%, Labour 20.0%, Overhead 10.0%, Margin 40.0%." in (
        _description(_tart().whole)
    )


def test_no_words_stand_on_the_bar_and_each_part_has_its_stretch_for_the_row_that_names_it() -> None:
    bar = _tart()
    assert _read(bar.whole).findall(f".//{SVG}text") == []
    assert "pattern" not in bar.whole
    assert [_bars(track)[0] for track in bar.tracks] == _bars(bar.whole)
    assert {_read(track).get("aria-hidden") for track in bar.tracks} == {"true"}


money = st.decimals(min_value=0, max_value=1000, places=4)


@given(money, money, money, money, st.decimals(min_value=-1000, max_value=1000, places=4))
def test_the_parts_of_any_price_fill_the_bar(
    ingredients: Decimal, packaging: Decimal, labor: Decimal, overhead: Decimal, margin: Decimal
) -> None:
    bars = _bars(_bar(ingredients, packaging, labor, overhead, margin).whole)
    costs = [width for _, width in bars[:-1]] if margin < 0 else [width for _, width in bars]
    if any((ingredients, packaging, labor, overhead)):
        assert abs(sum(costs) - 100) < Fraction(1, 50)
    assert all(0 <= x <= 100 and 0 <= width <= 100 for x, width in bars)


def test_a_price_below_cost_is_drawn_as_a_loss_at_the_end_of_the_costs() -> None:
    bar = _bar(3, 1, 6, 2, -3)
    assert _bars(bar.tracks[-1]) == [(75, 25)]
    assert "$9.00: Ingredients 33.3%" in _description(bar.whole)
    assert "Margin -33.3%" in _description(bar.whole)


def test_a_margin_names_its_floor_and_its_target_beside_their_marks() -> None:
    """The floor over the bar, the target under it: the two never stand in each other's words, however near."""
    row = MarginRow("Tart", Decimal("0.53"), Decimal("0.52"), Decimal("0.51"))
    words = {text.text: int(text.get("y") or 0) for text in _read(margins([row])).findall(f"{SVG}text")}
    assert words["floor 51.0%"] < words["target 52.0%"] - 30
    assert "53.0%, on target" in words


def test_a_margin_without_a_target_is_judged_by_the_floor() -> None:
    verdicts = [MarginRow("", Decimal(margin), None, Decimal("0.4")).verdict for margin in ("0.41", "0.4", "0.39")]
    assert verdicts == ["above floor", "at floor", "below floor"]
    assert "target" not in _description(margins([MarginRow("All", Decimal("0.5"), None, Decimal("0.4"))]))


@pytest.mark.parametrize(
    ("margin", "verdict"),
    [
        ("0.60", "on target"),
        ("0.599", "below target"),
        ("0.40", "below target"),
        ("0.39", "below floor"),
        ("-0.1", "below floor"),
    ],
)
def test_a_margin_is_judged_in_words(margin: str, verdict: str) -> None:
    row = MarginRow("Tart", Decimal(margin), Decimal("0.6"), Decimal("0.4"))
    assert row.verdict == verdict
    assert verdict in _description(margins([row]))


def test_what_is_owed_stands_beside_its_age_over_its_bar() -> None:
    texts = _read(receivables([Age("31 to 60 days late", 69201, 1)], currency="USD")).findall(f"{SVG}text")
    assert [text.text for text in texts] == ["31 to 60 days late: $692.01"]


def test_words_are_of_a_size_to_read_at_arms_length() -> None:
    sizes = {int(size) for svg in _all() for size in re.findall(r'font-size="(\d+)"', svg)}
    assert min(sizes) >= 15


def test_nothing_is_striped() -> None:
    assert not any("<pattern" in svg for svg in _all())


def test_debts_share_one_scale() -> None:
    svg = receivables([Age("Not due yet", 2000, 2), Age("Late", 500, 1), Age("Very late", 0)], currency="USD")
    widths = [width for _, width in _bars(svg)]
    assert widths[1::2] == [100, 25, 0]
    assert _description(svg).startswith("Not due yet: $20.00 on 2 documents. Late: $5.00 on 1 document.")


def test_blocks_that_overlap_get_lanes_of_their_own() -> None:
    blocks = [
        StripBlock(_at(0), _at(2), "a"),
        StripBlock(_at(1), _at(3), "b"),
        StripBlock(_at(2), _at(4), "c"),
    ]
    assert [[block.label for block in lane] for lane in lanes(blocks)] == [["a", "c"], ["b"]]


@given(st.lists(st.tuples(st.integers(0, 50), st.integers(1, 10)), max_size=12))
def test_no_lane_holds_blocks_that_overlap(spans: list[tuple[int, int]]) -> None:
    blocks = [StripBlock(_at(start), _at(start + length), "x") for start, length in spans]
    found = lanes(blocks)
    assert sum(map(len, found)) == len(blocks)
    for lane in found:
        assert all(left.end <= right.start for left, right in pairwise(lane))


@given(st.integers(1, 24 * 40))
def test_at_most_seven_marks_stand_along_a_plan_of_any_length(hours: int) -> None:
    with use(DisplaySettings()):
        assert len(list(_marks(_at(0), _at(hours)))) <= 7


def test_marks_keep_to_the_clock_on_the_wall_across_a_change_of_the_clocks() -> None:
    with use(DisplaySettings(time_zone="America/New_York")):
        start = datetime(2027, 3, 13, 12, tzinfo=UTC)
        marks = list(_marks(start, start + timedelta(hours=48)))
        assert {timezone.localtime(mark).hour % 12 for mark in marks} == {0}


def test_the_same_picture_prints_in_a_pdf() -> None:
    page = "".join(f"<div>{svg}</div>" for svg in _all())
    html = f'<html lang="en"><title>Pictures</title><style>svg {{ display: block; width: 100% }}</style>{page}</html>'
    text = " ".join(sheet.extract_text() for sheet in PdfReader(BytesIO(HTML(string=html).write_pdf())).pages)
    for words in ("floor 40.0%", "target 60.0%", "below target", "$12.00", "Bases"):
        assert words in text


def test_a_plan_must_end_after_it_starts() -> None:
    with pytest.raises(ValueError, match="ends after it starts"):
        plan_strip([], start=_at(1), end=_at(1))


def test_work_outside_the_plan_is_cut_at_its_ends() -> None:
    svg = plan_strip([StripRow("Cold", (StripBlock(_at(-5), _at(20), "Setting", "cold"),))], start=_at(0), end=_at(10))
    block = _read(svg).find(f"{SVG}svg")
    assert block is not None
    assert (block.get("x"), block.get("width")) == ("0%", "100%")
