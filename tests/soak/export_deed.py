"""An export of everything that was issued and is in no export yet."""

from datetime import timedelta

from django.utils import timezone

from catalog.kitchen.selectors import kitchen
from orders.register.services import export_make
from tests.factories import BY


def make() -> None:
    """Export everything that was issued."""
    now = timezone.now()
    export_make(
        first_day=(now - timedelta(days=3)).date(),
        last_day=(now + timedelta(days=3)).date(),
        currency=kitchen().currency,
        by=BY,
        at=now,
    )
