"""That something was saved, with the time: it stands on the page for longer than it holds."""

from django.utils import timezone
from django.utils.translation import gettext

from catalog.web import display


def saved_words() -> str:
    """Say that it is saved, as of now."""
    return gettext("Saved at %(time)s.") % {"time": display.clock(timezone.now())}
