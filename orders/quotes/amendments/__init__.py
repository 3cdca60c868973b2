"""Amendments: revisions that change a confirmed order once the customer approves them."""
