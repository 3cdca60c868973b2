"""Coldset's computation: plain Python, exact where money is charged, without database, clock or input and output."""

from costing.book import Book
from costing.brief import Brief, BriefLine, DeliveryTerms, Extra
from costing.engine import estimate
from costing.errors import CostingError, InputErrors
from costing.estimate_json import estimate_to_json
from costing.estimates import Estimate

__all__ = [
    "Book",
    "Brief",
    "BriefLine",
    "CostingError",
    "DeliveryTerms",
    "Estimate",
    "Extra",
    "InputErrors",
    "estimate",
    "estimate_to_json",
]
