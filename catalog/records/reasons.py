"""Why something is so: a code with parameters. Presenters make sentences of it."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any


@dataclass(frozen=True, slots=True)
class Reason:
    """A code and its parameters: names, numbers, days, other reasons."""

    code: str
    params: Mapping[str, Any] = field(default_factory=dict)

    def __hash__(self) -> int:
        # Parameters may be lists; equal reasons have equal codes.
        return hash(self.code)
