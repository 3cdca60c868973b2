"""What waits for what in the outbox."""

from itertools import combinations

import pytest
from django.conf import settings

from catalog.outbox.lanes import lane_of, lanes

#: A mail server may stall; the others take as long as their content: none of them may wait for another.
_APART = ("mail", "quote_pdf", "price_list", "export_files")


@pytest.mark.parametrize("kinds", list(combinations(_APART, 2)), ids=" ".join)
def test_work_of_different_length_has_different_lanes(kinds: tuple[str, str]) -> None:
    assert lane_of(kinds[0]) != lane_of(kinds[1])


def test_each_kind_of_work_has_one_lane() -> None:
    assert sorted(kind for lane in lanes() for kind in lane.kinds) == sorted(settings.OUTBOX_HANDLERS)
