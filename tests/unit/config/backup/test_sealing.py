"""A backup's file: every byte is checked before one of them is used."""

import io
from pathlib import Path

import pytest

from config.backup import sealing
from config.backup.archive import Member, archive_check, archive_open, archive_write
from config.backup.errors import BackupError
from config.backup.sealing import CHUNK, MAGIC, TAG, SealedReader, SealedWriter

KEY = "only-to-try-a-backup-0123456789"
SHORTEST_HEAD = len(MAGIC) + 16 + 32


@pytest.fixture(autouse=True)
def _quick_keys(monkeypatch: pytest.MonkeyPatch) -> None:
    # The cost of guessing a key is not what is tried here.
    monkeypatch.setattr(sealing, "_SCRYPT_N", 2)


def _backup(folder: Path, key: str, body: bytes = b"the database") -> Path:
    member = folder / "database"
    member.write_bytes(body)
    file = folder / "kitchen.backup"
    file.unlink(missing_ok=True)
    archive_write(file, {"made_at": "now"}, [Member("database", member)], key)
    return file


def _bad(folder: Path, content: bytes) -> Path:
    file = folder / "bad.backup"
    file.write_bytes(content)
    return file


@pytest.mark.parametrize("key", [KEY, ""], ids=["sealed", "plain"])
def test_what_was_written_is_read_again(tmp_path: Path, key: str) -> None:
    body = bytes(range(256)) * 1000
    with archive_open(_backup(tmp_path, key, body), key) as archive:
        found = {name: b"".join(iter(file.read, b"")) for name, file in archive.members()}
    assert found == {"database": body}


@pytest.mark.parametrize("key", [KEY, ""], ids=["sealed", "plain"])
def test_no_byte_can_be_flipped(tmp_path: Path, key: str) -> None:
    whole = _backup(tmp_path, key).read_bytes()
    places = sorted({*range(100), *range(100, len(whole), 23), *range(len(whole) - 90, len(whole))})
    for place in places:
        flipped = bytearray(whole)
        flipped[place] ^= 1
        with pytest.raises(BackupError):
            archive_check(_bad(tmp_path, bytes(flipped)), key)


@pytest.mark.parametrize("key", [KEY, ""], ids=["sealed", "plain"])
def test_nothing_can_be_cut_off_or_added(tmp_path: Path, key: str) -> None:
    whole = _backup(tmp_path, key).read_bytes()
    for content in (*(whole[:end] for end in range(0, len(whole), 311)), whole[:-1], whole + b"\n", whole + whole):
        with pytest.raises(BackupError):
            archive_check(_bad(tmp_path, content), key)


def test_chunks_cannot_be_cut_off_at_their_ends_or_change_places(tmp_path: Path) -> None:
    whole = _backup(tmp_path, KEY, b"x" * 3 * CHUNK).read_bytes()
    head, size = whole[:SHORTEST_HEAD], CHUNK + TAG
    chunks = [whole[start : start + size] for start in range(SHORTEST_HEAD, len(whole), size)]
    assert len(chunks) == 4
    for order in ([0, 1, 2], [0], [], [1, 0, 2, 3], [0, 2, 1, 3], [0, 1, 1, 2, 3], [0, 1, 3]):
        with pytest.raises(BackupError, match="damaged"):
            archive_check(_bad(tmp_path, head + b"".join(chunks[index] for index in order)), KEY)


def test_the_wrong_key_and_a_missing_one_get_different_answers(tmp_path: Path) -> None:
    file = _backup(tmp_path, KEY)
    with pytest.raises(BackupError, match="key does not fit"):
        archive_check(file, "another-key-0123456789")
    with pytest.raises(BackupError, match="is encrypted"):
        archive_check(file, "")


def test_a_file_of_a_later_format_and_a_file_that_is_none_get_different_answers(tmp_path: Path) -> None:
    later = _bad(tmp_path, MAGIC.replace(b" 1 ", b" 2 ") + b"whatever follows")
    with pytest.raises(BackupError, match="later version"):
        archive_check(later, KEY)
    with pytest.raises(BackupError, match="no backup of Coldset"):
        archive_check(_bad(tmp_path, b"A letter."), "")
    with pytest.raises(BackupError, match="cannot be read"):
        archive_check(tmp_path / "nothing", "")


def test_two_backups_of_the_same_have_nothing_in_common(tmp_path: Path) -> None:
    first = _backup(tmp_path, KEY).read_bytes()
    second = _backup(tmp_path, KEY).read_bytes()
    pairs = zip(first[len(MAGIC) :], second[len(MAGIC) :], strict=True)
    assert sum(one == other for one, other in pairs) < len(first) / 50


@pytest.mark.parametrize("length", [0, 1, CHUNK - 1, CHUNK, CHUNK + 1, 2 * CHUNK, 2 * CHUNK + 5])
def test_every_length_is_read_in_pieces_of_every_size(length: int) -> None:
    body = bytes(index % 251 for index in range(length))
    out = io.BytesIO()
    writer = SealedWriter(out, KEY)
    for start in range(0, length, 10_007):
        writer.write(body[start : start + 10_007])
    writer.close()
    out.seek(0)
    reader = SealedReader(out, KEY)
    pieces = list(iter(lambda: reader.read(9_973), b""))
    assert b"".join(pieces) == body
    assert all(len(piece) == 9_973 for piece in pieces[:-1])


def test_a_backup_that_cannot_be_finished_leaves_nothing(tmp_path: Path) -> None:
    with pytest.raises(FileNotFoundError):
        archive_write(tmp_path / "kitchen.backup", {}, [Member("database", tmp_path / "gone")], KEY)
    assert list(tmp_path.iterdir()) == []
