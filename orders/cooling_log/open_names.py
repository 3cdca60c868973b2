"""What is still to be measured, by name: where several coolings of one item break the rule, each that is open."""

from django.utils.translation import gettext

from catalog.web import display
from orders.cooling_log.selectors import CoolingMark


def measured_name(mark: CoolingMark) -> str:
    """Write what is still to be measured: of several coolings of one item those that are open."""
    if not mark.open_coolings:
        return mark.name
    names = [gettext("“%(step)s”") % {"step": name} for name in mark.open_coolings]
    return gettext("%(name)s, %(steps)s") % {"name": mark.name, "steps": display.joined(names)}
