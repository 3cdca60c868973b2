"""Every page has an address and a name of its own: of two alike, one would never be reached."""

from collections import Counter
from collections.abc import Iterator

from django.urls import URLPattern, URLResolver, get_resolver


def _addresses(resolver: URLResolver, before: str = "") -> Iterator[tuple[str, str]]:
    for pattern in resolver.url_patterns:
        place = before + str(pattern.pattern)
        if isinstance(pattern, URLResolver):
            yield from _addresses(pattern, place)
        elif isinstance(pattern, URLPattern):
            yield place, pattern.name or ""


def test_no_two_pages_share_an_address_or_a_name() -> None:
    found = list(_addresses(get_resolver()))
    for column in (0, 1):
        counted = Counter(one[column] for one in found if one[column])
        assert [what for what, count in counted.items() if count > 1] == []
