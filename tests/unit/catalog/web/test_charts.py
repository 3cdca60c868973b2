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
    MakeUp,
    MarginRow,
    StripBlock,
    StripRow,
    margins,
    plan_strip,
    price_makeup,
    receivables,
)
from catalog.web.charts.plan import _marks, lanes
from catalog.web.display import DisplaySettings, use

SVG = "{http://www.w3.org/2000/svg}"
START = datetime(2027, 2, 5, 11, tzinfo=UTC)
TART = MakeUp("Plum tart", Decimal(40), Decimal(10), Decimal(2), Decimal(8), Decimal(4))


def _at(hours: float) -> datetime:
    return START + timedelta(hours=hours)


def _all() -> list[str]:
    return [
        price_makeup([TART], currency="USD"),
        price_makeup([]),
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


def test_a_long_name_is_written_in_lines_that_leave_room_for_its_price() -> None:
    long = MakeUp("Almond and raspberry squares on a half sheet", 5, 1, 1, 1, 1)
    words = [text.text or "" for text in _read(price_makeup([long], currency="USD")).findall(f"{SVG}text")]
    assert words[:4] == ["$5.00", "Almond and raspberry", "squares on a half", "sheet"]
    short = _read(price_makeup([MakeUp("Squares", 5, 1, 1, 1, 1)], currency="USD"))
    tall = _read(price_makeup([long], currency="USD"))
    assert int(tall.get("height", "0")) - int(short.get("height", "0")) == 36


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


def test_the_five_parts_are_drawn_in_order_and_fill_the_price() -> None:
    bars = _bars(price_makeup([TART], currency="USD"))
    assert [width for _, width in bars] == [25, 5, 20, 10, 40]
    assert [x for x, _ in bars] == [0, 25, 30, 50, 60]
    assert "Plum tart, $40.00: ingredients 25.0%, packaging 5.0%, labor 20.0%, overhead 10.0%, margin 40.0%." in (
        _description(price_makeup([TART], currency="USD"))
    )


money = st.decimals(min_value=0, max_value=1000, places=4)


@given(money, money, money, money, money)
def test_the_parts_of_any_price_fill_the_bar(
    price: Decimal, ingredients: Decimal, packaging: Decimal, labor: Decimal, overhead: Decimal
) -> None:
    line = MakeUp("Any", price, ingredients, packaging, labor, overhead)
    bars = _bars(price_makeup([line], currency="USD"))
    if any((price, ingredients, packaging, labor, overhead)):
        assert abs(sum(width for _, width in bars) - 100) < Fraction(1, 50)


def test_a_price_below_cost_says_by_how_much() -> None:
    svg = price_makeup([MakeUp("Lantern", 9, 3, 1, 6, 2)], currency="USD")
    assert "$3.00 below cost" in svg
    assert "margin -33.3%" in _description(svg)


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
    for words in ("Plum tart", "5: 40%", "below target", "$12.00", "Bases"):
        assert words in text


def test_a_plan_must_end_after_it_starts() -> None:
    with pytest.raises(ValueError, match="ends after it starts"):
        plan_strip([], start=_at(1), end=_at(1))


def test_work_outside_the_plan_is_cut_at_its_ends() -> None:
    svg = plan_strip([StripRow("Cold", (StripBlock(_at(-5), _at(20), "Setting", "cold"),))], start=_at(0), end=_at(10))
    block = _read(svg).find(f"{SVG}svg")
    assert block is not None
    assert (block.get("x"), block.get("width")) == ("0%", "100%")
