"""Model fields for exact numbers and measures."""

import re
from decimal import Decimal
from typing import Any

from django.core.exceptions import ValidationError
from django.core.validators import MaxLengthValidator
from django.db import models
from django.db.models.expressions import Combinable

_PLAIN_DECIMAL = re.compile(r"-?\d{1,30}(\.\d{1,30})?\Z", re.ASCII)


class ExactDecimalField(models.CharField):  # type: ignore[type-arg]  # stubs want set/get types that mypy infers
    """A decimal stored as text, so that no database rounds it (SQLite stores decimals as floats).

    Reads as :class:`decimal.Decimal`. Not for sums in SQL: money on documents is whole minor units instead.
    """

    # Types for setting and reading, for the type checker's Django plugin.
    _pyi_private_set_type: Decimal | int | str | Combinable  # type: ignore[assignment]  # a number, not its text
    _pyi_private_get_type: Decimal  # type: ignore[assignment]  # a number, not its text

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        kwargs.setdefault("max_length", 62)
        super().__init__(*args, **kwargs)

    def from_db_value(self, value: str | None, expression: Any, connection: Any) -> Decimal | None:
        """Convert the stored text to a number."""
        return None if value in (None, "") else Decimal(str(value))

    def to_python(self, value: Any) -> Decimal | None:
        """Convert the value of a form or a caller to a number."""
        if value is None or value == "":
            return None
        if isinstance(value, Decimal):
            return value
        if not _PLAIN_DECIMAL.match(str(value)):
            raise ValidationError("not_a_number", code="not_a_number")
        return Decimal(str(value))

    def get_prep_value(self, value: Any) -> str | None:
        """Write the number without an exponent."""
        number = self.to_python(value)
        return None if number is None else format(number, "f")

    def run_validators(self, value: Any) -> None:
        """Check limits on the number, not on its text."""
        if value is not None:
            # `validators` also contains a limit on the text's length, which does not apply to a number.
            for validator in self.validators:
                if not isinstance(validator, MaxLengthValidator):
                    validator(value)
