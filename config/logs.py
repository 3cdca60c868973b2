"""Log filters."""

import logging
import re

_TOKEN = re.compile(r"(/q/|/password/[A-Za-z0-9_-]+/)[A-Za-z0-9_-]{16,}")


class NoTokens(logging.Filter):
    """Keep the tokens of private links, and of links to set a password, out of the log."""

    def filter(self, record: logging.LogRecord) -> bool:
        """Replace the token in a path by a mark; every record passes."""
        message = record.getMessage()
        if "/q/" in message or "/password/" in message:
            record.msg, record.args = _TOKEN.sub(r"\1[token]", message), ()
        return True
