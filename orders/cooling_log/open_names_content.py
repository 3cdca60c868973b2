"""What is still to be measured, by name: where several coolings of one item break the rule, each that is open."""

from django.utils.translation import gettext, ngettext

from catalog.web import display
from orders.cooling_log.selectors import CoolingMark


def measured_name(mark: CoolingMark) -> str:
    """Write what is still to be measured: of several coolings of one item those that are open."""
    if not mark.open_coolings:
        return mark.name
    return gettext("%(name)s, %(steps)s") % {"name": mark.name, "steps": _steps(mark)}


def each_open(mark: CoolingMark) -> str:
    """Write which coolings are still to be measured, where several break their rule: each by its own reading."""
    if not mark.open_coolings or mark.to_remake:
        return ""
    text = ngettext(
        "Still to be measured for itself: the cooling in %(steps)s.",
        "Still to be measured, each for itself: the coolings in %(steps)s.",
        len(mark.open_coolings),
    )
    return text % {"steps": _steps(mark)}


def _steps(mark: CoolingMark) -> str:
    return display.joined([gettext("“%(step)s”") % {"step": name} for name in mark.open_coolings])
