"""The catalog's refusals in sentences fit to show."""

from collections.abc import Mapping
from datetime import date
from typing import Any, Final

from catalog.records.errors import CatalogError
from catalog.records.reasons import Reason

#: Code of a refusal -> its sentence.
SENTENCES: Final[Mapping[str, str]] = {
    "catalog": "The catalogue cannot do that.",
    "changed_meanwhile": "{what} was changed by somebody else meanwhile. Open it again and repeat your change.",
    "in_use": "{what} is used by {users}. Take it out there first, or mark it as no longer used.",
    "cannot_price": "The catalogue has an error that stops every price: {problem}",
    "pack_dates": "{size} has a price from {day} already. Choose a later day, or end that price first.",
    "price_list_not_ready": "This price list cannot be taken over: {why}",
    "currency_locked": "The currency stays {currency}: quotes or other documents are written in it.",
    "rate_in_force": (
        "A rate of {what} that has begun stays: amounts were taxed with it. Add the right rate from its first day."
    ),
}


def sentence(error: CatalogError) -> str:
    """Say what was refused, and what works instead."""
    return reason_sentence(error.reason, SENTENCES)


def reason_sentence(reason: Reason, sentences: Mapping[str, str]) -> str:
    """Say a reason with the sentences for its codes; a parameter may be a day or a reason of its own."""
    params = {name: _in_words(value, sentences) for name, value in reason.params.items()}
    return sentences[reason.code].format(**params)


def _in_words(value: Any, sentences: Mapping[str, str]) -> str:
    if isinstance(value, Reason):
        return reason_sentence(value, sentences)
    return f"{value:%-d %B %Y}" if isinstance(value, date) else str(value)
