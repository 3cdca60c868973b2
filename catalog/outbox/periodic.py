"""Work by the clock: services that ``settings.PERIODIC_WORK`` names, called every so many seconds."""

from collections.abc import Callable

from django.conf import settings
from django.utils import timezone
from django.utils.module_loading import import_string


def periodic_work(path: str) -> None:
    """Call one entry of ``settings.PERIODIC_WORK``.

    Raises KeyError for any other.
    """
    if path not in settings.PERIODIC_WORK:
        raise KeyError(path)
    service: Callable[..., object] = import_string(path)
    service(at=timezone.now())
