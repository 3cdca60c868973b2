"""Charts as SVG text: pure functions from plain data, the same on the page and in the PDF.

They are as wide as their place (lengths along the time or money axis are percentages) and keep their text's size, so
that they can be read at 320 px. Nothing is told by colour alone: order, words and patterns say the same. They carry
presentation attributes only, because the site's Content-Security-Policy allows no inline style.
"""

from catalog.pictures.cooling import Course, CurveStage, cooling_curve, hour_marks
from catalog.pictures.makeup import PARTS, MakeUp, price_makeup
from catalog.pictures.margins import MarginRow, margins
from catalog.pictures.receivables import Age, receivables
from catalog.pictures.strip import StripBlock, StripRow, plan_strip

__all__ = [
    "PARTS",
    "Age",
    "Course",
    "CurveStage",
    "MakeUp",
    "MarginRow",
    "StripBlock",
    "StripRow",
    "cooling_curve",
    "hour_marks",
    "margins",
    "plan_strip",
    "price_makeup",
    "receivables",
]
