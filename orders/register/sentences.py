"""The register's ready filters: each is a sentence to click."""

from dataclasses import dataclass
from datetime import date, timedelta
from urllib.parse import urlencode

from orders.register.selectors import RegisterFilter, month_of


@dataclass(frozen=True)
class Sentence:
    """A filter in words and its address."""

    words: str
    query: str
    current: bool


def sentences(chosen: RegisterFilter, *, today: date) -> list[Sentence]:
    """List the filters people ask for most, as sentences."""
    this = month_of(today)
    before = month_of(this[0] - timedelta(days=1))
    ready = [
        ("everything", RegisterFilter()),
        ("not paid", RegisterFilter(standing="open")),
        ("overdue", RegisterFilter(standing="overdue")),
        (f"issued in {this[0]:%B}", RegisterFilter(first=this[0], last=this[1])),
        (f"issued in {before[0]:%B}", RegisterFilter(first=before[0], last=before[1])),
        (f"issued in {before[0]:%B}, not paid", RegisterFilter(first=before[0], last=before[1], standing="open")),
        ("credit notes", RegisterFilter(kind="381")),
        ("in no export yet", RegisterFilter(exported="no")),
    ]
    return [Sentence(words, _query(filter_), filter_ == chosen) for words, filter_ in ready]


def _query(chosen: RegisterFilter) -> str:
    return urlencode({name: str(value) for name, value in vars(chosen).items() if value})
