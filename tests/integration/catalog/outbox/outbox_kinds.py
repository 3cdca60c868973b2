"""The kinds of outbox work of the tests; apart from the work, since settings name them before models load."""

from typing import Any

HANDLERS: dict[str, str] = {
    kind: f"tests.integration.catalog.outbox.outbox_work.{function}"
    for kind, function in {
        "mark": "mark",
        "fail": "fail",
        "mail": "fail",
        "follow": "follow",
        "slow": "slow",
        "stall": "slow",
        "die": "die",
        "lost": "nowhere",
    }.items()
}
#: The lane of mails allows two seconds, so that a test sees work stopped that takes longer.
LANES: dict[str, dict[str, Any]] = {
    "mail": {"kinds": ["mail", "stall"], "seconds": 2},
    "documents": {"kinds": ["mark", "follow", "fail", "lost", "die"], "seconds": 120},
    "files": {"kinds": ["slow"], "seconds": 900},
}
#: Periodic work that takes long.
STALLED_WORK = "tests.integration.catalog.outbox.outbox_work.stalled_work"
