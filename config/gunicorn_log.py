"""How gunicorn logs; ``config.gunicorn_settings`` names it.

Its own lines go where the service's go. The line for each request is written by ``config.request_log``, so there is no
access log.
"""

import logging.config

from gunicorn.config import Config
from gunicorn.glogging import Logger

from config.settings import LOGGING


class ServiceLog(Logger):  # type: ignore[misc]  # gunicorn has no types
    """gunicorn's lines in the service's format, in its main process too."""

    def setup(self, cfg: Config) -> None:
        """Hand the lines to the service's handler; gunicorn's own handler wrote them in another format."""
        super().setup(cfg)
        logging.config.dictConfig(LOGGING)
