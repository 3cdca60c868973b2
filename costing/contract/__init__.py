"""The contract: what a Book, a Brief and an Estimate are, and how they are read, checked and written."""

from costing.contract.book import (
    Book,
    Composition,
    Ingredient,
    Mold,
    Part,
    PriceRule,
    Product,
    Profile,
    Recipe,
    RecipeLine,
    Station,
    Step,
    Vessel,
)
from costing.contract.book_checks import book_errors, check_book
from costing.contract.book_reader import read_book
from costing.contract.book_writer import write_book
from costing.contract.brief import Brief, BriefLine, DeliveryTerms, Extra
from costing.contract.brief_reader import read_brief
from costing.contract.brief_writer import write_brief
from costing.contract.documents import read_json
from costing.contract.errors import CostingError, InputErrors
from costing.contract.estimate import Advice, Estimate, LineEstimate
from costing.contract.estimate_writer import write_estimate
from costing.contract.explanations import Explanation
from costing.contract.whole_checks import whole_book_errors
from costing.contract.whole_reader import read_whole_book
from costing.contract.whole_writer import write_whole_book

__all__ = [
    "Advice",
    "Book",
    "Brief",
    "BriefLine",
    "Composition",
    "CostingError",
    "DeliveryTerms",
    "Estimate",
    "Explanation",
    "Extra",
    "Ingredient",
    "InputErrors",
    "LineEstimate",
    "Mold",
    "Part",
    "PriceRule",
    "Product",
    "Profile",
    "Recipe",
    "RecipeLine",
    "Station",
    "Step",
    "Vessel",
    "book_errors",
    "check_book",
    "read_book",
    "read_brief",
    "read_json",
    "read_whole_book",
    "whole_book_errors",
    "write_book",
    "write_brief",
    "write_estimate",
    "write_whole_book",
]
