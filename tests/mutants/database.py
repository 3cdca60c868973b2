"""A pytest plugin: gives each run its own copy of a migrated database, because migrating takes most of a short run."""

import os
import shutil
from pathlib import Path

import pytest
from django.db import connections
from django.test import utils


def _copy_of_this_run() -> Path:
    return Path(os.environ["COLDSET_MIGRATED"]).with_name(f"run-{os.getpid()}.sqlite3")


def pytest_configure(config: pytest.Config) -> None:
    """Copy the database and have Django use the copy as its test database."""
    shutil.copy(os.environ["COLDSET_MIGRATED"], _copy_of_this_run())
    connection = connections["default"]
    connection.close()
    connection.settings_dict["NAME"] = str(_copy_of_this_run())
    utils.setup_databases = lambda *_, **__: []
    utils.teardown_databases = lambda *_, **__: None


def pytest_unconfigure(config: pytest.Config) -> None:
    """Delete the copy."""
    connections["default"].close()
    _copy_of_this_run().unlink(missing_ok=True)
