"""A pytest plugin: each run has a copy of a migrated database of its own, for most of a short run is the migrations."""

import os
import shutil
from pathlib import Path

import pytest
from django.db import connections
from django.test import utils


def _copied() -> Path:
    return Path(os.environ["COLDSET_MIGRATED"]).with_name(f"run-{os.getpid()}.sqlite3")


def pytest_configure(config: pytest.Config) -> None:
    """Copy the database and let Django work on the copy as it is."""
    shutil.copy(os.environ["COLDSET_MIGRATED"], _copied())
    connection = connections["default"]
    connection.close()
    connection.settings_dict["NAME"] = str(_copied())
    utils.setup_databases = lambda *_, **__: []
    utils.teardown_databases = lambda *_, **__: None


def pytest_unconfigure(config: pytest.Config) -> None:
    """Throw the copy away."""
    connections["default"].close()
    _copied().unlink(missing_ok=True)
