"""The folder in which a backup is made: private, gone at its end, and taken away later when the backup was killed."""

import os
import stat
from pathlib import Path

from pytest_django.fixtures import Settings

from config.backup.services import _CUT_OFF, _work_folder


def test_the_folder_is_private_and_gone_at_the_end(tmp_path: Path, settings: Settings) -> None:
    settings.VAR_DIR = tmp_path / "var"
    with _work_folder() as folder:
        assert stat.S_IMODE(folder.stat().st_mode) == 0o700
        (folder / "database").write_text("everything")
    assert list(settings.VAR_DIR.iterdir()) == []


def test_what_a_killed_backup_left_is_taken_away_by_a_later_one_and_nothing_else(
    tmp_path: Path, settings: Settings
) -> None:
    settings.VAR_DIR = tmp_path
    killed, under_way, other = (
        tmp_path / name for name in ("unfinished-backup-a", "unfinished-backup-b", "backup-old")
    )
    for folder in (killed, under_way, other):
        folder.mkdir()
        (folder / "database").write_text("everything")
    for folder in (killed, other):
        long_ago = folder.stat().st_mtime - _CUT_OFF - 1
        os.utime(folder, (long_ago, long_ago))
    with _work_folder():
        assert not killed.exists()
    assert under_way.exists()
    assert other.exists()
