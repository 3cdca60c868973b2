"""Coldset's computation: plain Python, exact where money is charged, without database, clock or input and output."""

from costing.contract import (
    Book,
    Brief,
    BriefLine,
    CostingError,
    DeliveryTerms,
    Estimate,
    Extra,
    InputErrors,
    read_book,
    read_brief,
    write_estimate,
)
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
    "read_book",
    "read_brief",
    "write_estimate",
]
