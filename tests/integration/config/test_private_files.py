"""Nobody else on the machine reads what the service writes, whatever the umask it is started with."""

import os
import stat
import subprocess
import sys
from pathlib import Path
from shutil import copyfile

import pytest
from pytest_django.fixtures import Settings

from config.private_files import check_private_files, make_private

ROOT = Path(__file__).parents[3]
MAIL = "from django.core.mail import send_mail; send_mail('a', 'b', 'c@d.example', ['e@f.example'])"


def _run(folder: Path, *arguments: str) -> None:
    """Run a management command on a folder of its own, started with the umask that hides nothing."""
    inherited = {name: value for name, value in os.environ.items() if not name.startswith("COLDSET_")}
    environment = {
        **inherited,
        "COLDSET_VAR": str(folder),
        "COLDSET_HTTPS": "0",
        "COLDSET_SECRET_KEY": "only-for-tests-and-never-served-0123456789abcdef",
        "DJANGO_SETTINGS_MODULE": "config.settings",
    }
    command = [sys.executable, "manage.py", *arguments]
    done = subprocess.run(command, cwd=ROOT, env=environment, umask=0, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr


def _open_to_others(folder: Path) -> list[str]:
    every = [folder, *folder.rglob("*")]
    return [str(path.relative_to(folder)) for path in every if stat.S_IMODE(path.stat().st_mode) & 0o077]


@pytest.mark.django_db
def test_what_is_made_under_any_umask_is_private(tmp_path: Path, django_db_setup: Path) -> None:
    folder = tmp_path / "var"
    _run(folder, "migrate", "contenttypes", "--verbosity=0")
    # The other tables are written into the file that is there, which keeps its mode.
    copyfile(django_db_setup, folder / "coldset.sqlite3")
    _run(folder, "shell", "--command", MAIL)
    _run(folder, "collectstatic", "--verbosity=0")
    _run(folder, "backup", str(folder / "kitchen.backup"))
    names = {path.name for path in folder.iterdir()}
    assert {"coldset.sqlite3", "mail", "static", "kitchen.backup"} <= names
    assert _open_to_others(folder) == []


def test_what_was_open_before_is_private_after_the_next_start(tmp_path: Path) -> None:
    folder = tmp_path / "var"
    for inside in ("mail", "static/css"):
        (folder / inside).mkdir(parents=True)
    for name in ("secret-key", "smtp-password", "backup-key", "coldset.sqlite3", "mail/1.log", "static/css/a.css"):
        (folder / name).touch()
    for path in (folder, *folder.rglob("*")):
        path.chmod(0o777 if path.is_dir() else 0o666)
    _run(folder, "check")
    assert _open_to_others(folder) == []


def test_files_beside_an_open_database_are_private_too(tmp_path: Path) -> None:
    program = (
        "import os, stat; from django.conf import settings; from django.db import connection;"
        "connection.cursor().execute('CREATE TABLE x (y)');"
        "found = [p for p in settings.VAR_DIR.iterdir() if p.name.startswith('coldset')];"
        "assert len(found) == 3, found;"
        "assert not [p for p in found if stat.S_IMODE(p.stat().st_mode) != 0o600], found"
    )
    _run(tmp_path / "var", "shell", "--command", program)


def test_a_folder_that_is_everybodys_is_left_alone(tmp_path: Path, settings: Settings) -> None:
    tmp_path.chmod(0o1777)
    settings.VAR_DIR = tmp_path
    make_private()
    assert stat.S_IMODE(tmp_path.stat().st_mode) == 0o1777
    tmp_path.chmod(0o700)


def test_the_check_names_what_others_can_read(
    tmp_path: Path, settings: Settings, monkeypatch: pytest.MonkeyPatch
) -> None:
    settings.VAR_DIR = tmp_path / "var"
    settings.VAR_DIR.mkdir(mode=0o755)
    monkeypatch.setitem(settings.DATABASES["default"], "NAME", settings.VAR_DIR / "a.sqlite3")
    key = tmp_path / "key"
    key.touch(mode=0o600)
    key.chmod(0o640)
    settings.VAR_DIR.chmod(0o755)
    monkeypatch.setenv("COLDSET_SECRET_KEY_FILE", str(key))
    warnings = check_private_files()
    assert [warning.id for warning in warnings] == ["coldset.W001"] * 2
    assert str(settings.VAR_DIR) in warnings[0].msg
    assert str(key) in warnings[1].msg
    make_private()
    key.chmod(0o400)
    assert check_private_files() == []
