"""Coldset's computation: plain Python, exact where money is charged, without database, clock or input and output."""

from costing.contract.book import Book
from costing.contract.brief import Brief, BriefLine, DeliveryTerms, Extra
from costing.contract.errors import CostingError, InputErrors
from costing.contract.estimate import Estimate
from costing.contract.estimate_json import estimate_to_json
from costing.estimating.engine import estimate

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
