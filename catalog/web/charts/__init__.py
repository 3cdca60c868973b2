"""Charts as SVG text: pure functions from plain data, the same on the page and in the PDF.

They fill the width of their container (lengths along the time or money axis are percentages) and keep their text size,
so that they can be read at 320 px. No information is given by colour alone: place, order and words repeat it. They
have presentation attributes only, because the site's Content-Security-Policy allows no inline style.
"""

from catalog.web.charts.cooling import Course, CurveStage, cooling_curve, hour_marks
from catalog.web.charts.margins import MarginRow, margins
from catalog.web.charts.plan import StripBlock, StripRow, plan_strip
from catalog.web.charts.price_bar import BarPart, PriceBar, price_bar
from catalog.web.charts.receivables import Age, receivables

__all__ = [
    "Age",
    "BarPart",
    "Course",
    "CurveStage",
    "MarginRow",
    "PriceBar",
    "StripBlock",
    "StripRow",
    "cooling_curve",
    "hour_marks",
    "margins",
    "plan_strip",
    "price_bar",
    "receivables",
]
