"""The cooling curve: what it draws and says, in whose degrees, and that a page and a PDF can carry it."""

import re
from io import BytesIO
from itertools import pairwise
from xml.etree import ElementTree

import pytest
from defusedxml.ElementTree import fromstring
from hypothesis import given
from hypothesis import strategies as st
from pypdf import PdfReader
from weasyprint import HTML

from catalog.web.charts import Course, CurveStage, cooling_curve, hour_marks
from catalog.web.display import DisplaySettings, use

SVG = "{http://www.w3.org/2000/svg}"
COURSE = Course((0, 60, 240, 600), (80, 60, 21, 5), (80, 55, 15, 4), (80, 65, 30, 8))
STAGES = (CurveStage("Cool, the rack", 0, 24), CurveStage("Chill, cold room", 60, 3))
LIMITS = (57.2222, 21.1111, 5.0)


def read(svg: str) -> ElementTree.Element:
    """Parse a picture."""
    root: ElementTree.Element = fromstring(svg)
    return root


def words(svg: str) -> list[str]:
    """Return all that is written in it."""
    return [text.text or "" for text in read(svg).iter(f"{SVG}text")]


def drawn() -> str:
    """Draw a cake in an hour of room air and a night in the cold."""
    return cooling_curve(COURSE, STAGES, LIMITS, title="How a cake cools")


def test_it_is_named_and_free_of_inline_style() -> None:
    root = read(drawn())
    assert root.get("role") == "img"
    assert (root.get("aria-labelledby") or "").split() == [root[0].get("id"), root[1].get("id")]
    assert root[0].text == "How a cake cools"
    assert not re.search(r"\sstyle=|<style|<script|\son[a-z]+=", drawn())


def test_it_says_in_words_what_it_draws() -> None:
    description = read(drawn()).findtext(f"{SVG}desc") or ""
    assert "The warmest point begins at 176 °F." in description
    # Between 60 °C after 1 h and 21 °C after 4 h, 57.2 °C lies at 60 + 180 * 2.78 / 39 = 73 min.
    assert "It is at 135 °F after about 1 h 15 min: at the fastest 55 min, at the slowest 1 h 40 min." in description
    assert "It is at 41 °F after about 10 h: at the fastest 9 h 25 min, at the slowest later than shown." in description
    assert "Chill, cold room after 1 h, air at 37.4 °F." in description


@pytest.mark.parametrize(
    ("degrees", "limits"), [("F", ["135 °F", "70 °F", "41 °F"]), ("C", ["57 °C", "21 °C", "5 °C"])]
)
def test_limits_are_named_in_the_kitchens_degrees(degrees: str, limits: list[str]) -> None:
    with use(DisplaySettings(degrees=degrees)):
        written = words(drawn())
    # Once as the edge that lifts it off the lines, once as ink.
    assert [written.count(f"limit {limit}") for limit in limits] == [2, 2, 2]


def test_lines_differ_without_hue() -> None:
    lines = {line.get("stroke"): line for line in read(drawn()).iter(f"{SVG}polyline")}
    looks = {(line.get("stroke-width"), line.get("stroke-dasharray")) for line in lines.values()}
    assert len(lines) == len(looks) == 3
    (band,) = read(drawn()).iter(f"{SVG}polygon")
    assert (band.get("fill") or "").startswith("#"), "no stripes: words of the limits stand on it"
    assert {line.get("vector-effect") for line in lines.values()} == {"non-scaling-stroke"}


def test_lines_keep_within_the_plot_and_fall_with_the_temperature() -> None:
    plot = next(inner for inner in read(drawn()).iter(f"{SVG}svg") if inner.get("viewBox"))
    _, _, wide, high = map(float, (plot.get("viewBox") or "").split())
    for line in (*plot.iter(f"{SVG}polyline"), *plot.iter(f"{SVG}polygon")):
        points = [tuple(map(float, pair.split(","))) for pair in (line.get("points") or "").split()]
        assert all(0 <= x <= wide and 0 <= y <= high for x, y in points)
    likely = list(plot.iter(f"{SVG}polyline"))[-1].get("points") or ""
    heights = [float(pair.split(",")[1]) for pair in likely.split()]
    assert heights == sorted(heights)


def test_the_air_is_drawn_as_steps_that_change_where_a_stage_begins() -> None:
    air = next(line for line in read(drawn()).iter(f"{SVG}polyline") if line.get("stroke-dasharray"))
    xs = [pair.split(",")[0] for pair in (air.get("points") or "").split()]
    assert xs == ["0.0", "100.0", "100.0", "1000.0"]


def test_a_number_is_left_out_where_two_would_stand_on_each_other() -> None:
    stages = (CurveStage("Cool", 0, 24), CurveStage("Unmould", 10, 24), CurveStage("Chill", 120, 3))
    written = words(cooling_curve(COURSE, stages, LIMITS))
    assert [word for word in written if word in ("1", "2", "3")] == ["1", "3"]
    assert "2  Unmould, 75.2\u00a0°F" in written


def test_what_begins_cold_or_never_gets_there_is_said() -> None:
    course = Course((0, 60), (4, 4), (4, 4), (4, 4.5))
    description = read(cooling_curve(course, STAGES[1:], (5.0, 3.0))).findtext(f"{SVG}desc") or ""
    assert "It is at 41 °F from the start." in description
    assert "It does not reach 37 °F in the time shown." in description


@given(end=st.floats(min_value=1, max_value=20_000), most=st.integers(min_value=2, max_value=14))
def test_marks_are_even_and_as_many_as_there_is_room_for(end: float, most: int) -> None:
    marks = list(hour_marks(end, most))
    assert marks[0] == 0
    assert len(marks) <= most + 1
    assert all(mark <= end for mark in marks)
    steps = {later - sooner for sooner, later in pairwise(marks)}
    assert len(steps) <= 1


def test_a_pdf_prints_it() -> None:
    page = HTML(string=f"<figure>{drawn()}</figure>").write_pdf()
    description = PdfReader(BytesIO(page)).pages[0].extract_text()
    assert "warmest point, most likely" in description
    assert "135 °F" in description
