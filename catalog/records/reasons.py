"""Reasons: a code with parameters, from which presenters make sentences."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date, datetime
from decimal import Decimal
from typing import Any

from djmoney.money import Money


@dataclass(frozen=True, slots=True)
class Reason:
    """A code and its parameters: names, numbers, money, days, other reasons, or lists of them."""

    code: str
    params: Mapping[str, Any] = field(default_factory=dict)

    def __hash__(self) -> int:
        # Parameters may be unhashable lists; equal reasons have equal codes.
        return hash(self.code)


def reason_to_json(reason: Reason) -> dict[str, Any]:
    """Return a reason as JSON; values without a JSON type are tagged with their type."""
    return {"code": reason.code, "params": {name: _to_json(value) for name, value in reason.params.items()}}


def reason_from_json(stored: Mapping[str, Any]) -> Reason:
    """Read a stored reason."""
    return Reason(stored["code"], {name: _from_json(value) for name, value in stored["params"].items()})


def _to_json(value: Any) -> Any:
    match value:
        case None | bool() | int() | float() | str():
            return value
        case Reason():
            return {"reason": reason_to_json(value)}
        case datetime():
            return {"moment": value.isoformat()}
        case date():
            return {"day": value.isoformat()}
        case Decimal():
            return {"number": str(value)}
        case Money():
            return {"money": str(value.amount), "currency": value.currency.code}
        case list() | tuple():
            return [_to_json(one) for one in value]
        case _:
            return str(value)


def _from_json(value: Any) -> Any:
    match value:
        case {"reason": stored}:
            return reason_from_json(stored)
        case {"moment": text}:
            return datetime.fromisoformat(text)
        case {"day": text}:
            return date.fromisoformat(text)
        case {"number": text}:
            return Decimal(text)
        case {"money": text, "currency": currency}:
            return Money(Decimal(text), currency)
        case list():
            return [_from_json(one) for one in value]
        case _:
            return value
