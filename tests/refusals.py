"""What a service refuses, checked by the sentence that is shown for it."""

import re
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

import pytest

from catalog.records.errors import Refusal
from config.refusals import sentences


@contextmanager
def refused(error: type[Refusal], match: str) -> Iterator[pytest.ExceptionInfo[Any]]:
    """Expect a refusal whose sentence matches; the counterpart of ``pytest.raises(..., match=...)``."""
    with pytest.raises(error) as found:
        yield found
    wording = " ".join(sentences(found.value))
    assert re.search(match, wording), f"{wording!r} does not match {match!r}"
