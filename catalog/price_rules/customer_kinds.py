"""Kinds of customer that price rules can name: the codes are those on the customer."""

from typing import Final

CUSTOMER_KINDS: Final = (
    ("private", "private customers"),
    ("planner", "event planners"),
    ("venue", "venues"),
    ("business", "businesses"),
)
