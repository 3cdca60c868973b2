"""System checks for software that the operating system must provide."""

from typing import Any

from django.core.checks import CheckMessage, register
from django.core.checks import Warning as CheckWarning


@register("orders")
def pango_is_there(**_: Any) -> list[CheckMessage]:
    """Warn when PDFs cannot be made."""
    try:
        import weasyprint  # noqa: F401 - loading it is the check
    except OSError:
        return [
            CheckWarning(
                "PDFs cannot be made: the system library Pango is missing.",
                hint="Install it; on Debian: apt install libpango-1.0-0 libpangoft2-1.0-0 libharfbuzz-subset0",
                id="orders.W001",
            )
        ]
    return []
