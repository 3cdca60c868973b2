"""Log filters."""

import logging
import re

_TOKEN = re.compile(r"(/q/)[A-Za-z0-9_-]{16,}")


class NoTokens(logging.Filter):
    """Keep private-link tokens out of the log."""

    def filter(self, record: logging.LogRecord) -> bool:
        """Replace the token in a path by a mark; every record passes."""
        message = record.getMessage()
        if "/q/" in message:
            record.msg, record.args = _TOKEN.sub(r"\1[token]", message), ()
        return True
