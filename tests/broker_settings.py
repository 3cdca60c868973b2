"""The service's own settings with the handlers of the outbox tests, for processes of the outbox."""

import os

os.environ.setdefault("COLDSET_SECRET_KEY", "only-for-tests-and-never-served-0123456789abcdef")
os.environ.setdefault("COLDSET_HTTPS", "0")

from config.settings import *  # noqa: F403 - the tests run on the real settings
from config.settings import PERIODIC_WORK
from tests.integration.catalog.outbox.outbox_kinds import HANDLERS, LANES, STALLED_WORK

OUTBOX_HANDLERS = HANDLERS
OUTBOX_LANES = LANES
if os.environ.get("TEST_STALLED_WORK"):
    PERIODIC_WORK = {STALLED_WORK: 1, **PERIODIC_WORK}
