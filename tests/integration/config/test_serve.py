"""What `manage.py serve` starts stays running: a part that is killed is started again, and the other goes on."""

import os
import signal
import subprocess
import sys
from contextlib import suppress
from itertools import pairwise
from pathlib import Path
from urllib.request import urlopen

import pytest

from config import supervisor
from config.supervisor import Part
from tests.databases import ROOT, RealDatabase
from tests.integration.catalog.outbox.test_outbox_loop import _begun_by
from tests.integration.catalog.outbox.test_outbox_processes import _until
from tests.integration.config.test_deploy import PATIENCE, _answers, _environment, _port


def _part(serving: subprocess.Popen[bytes], word: str) -> int | None:
    """Return the process of a part, by a word of its command."""
    for pid in _begun_by(serving.pid):
        with suppress(OSError):
            command = Path(f"/proc/{pid}/cmdline").read_bytes().decode()
            parent = Path(f"/proc/{pid}/stat").read_text().rpartition(")")[2].split()[1]
            if word in command and int(parent) == serving.pid:
                return pid
    return None


def test_each_part_is_started_again_and_the_other_goes_on(real_database: RealDatabase, tmp_path: Path) -> None:
    port = _port()
    environment = _environment(real_database, tmp_path, COLDSET_BROKER_URL="")
    command = [sys.executable, "manage.py", "serve", "--port", str(port)]
    serving = subprocess.Popen(command, cwd=ROOT, env=environment, stdin=subprocess.DEVNULL, stdout=subprocess.DEVNULL)
    try:
        _until(lambda: _answers(port), PATIENCE)
        _until(lambda: _part(serving, "outbox") is not None)
        web, outbox = _part(serving, "gunicorn"), _part(serving, "outbox")
        assert web is not None
        assert outbox is not None
        os.kill(outbox, signal.SIGKILL)
        _until(lambda: _part(serving, "outbox") not in (None, outbox))
        assert _part(serving, "gunicorn") == web, "the pages were served all the while"
        again = _part(serving, "outbox")
        os.kill(web, signal.SIGKILL)
        _until(lambda: _part(serving, "gunicorn") not in (None, web) and _answers(port), PATIENCE)
        assert _part(serving, "outbox") == again
        assert serving.poll() is None
    finally:
        every = _begun_by(serving.pid)
        serving.terminate()
        serving.wait(timeout=120)
    _until(lambda: not any(Path(f"/proc/{pid}").exists() for pid in every))


def test_from_an_empty_folder_one_command_leads_to_the_page_that_makes_the_owner(tmp_path: Path) -> None:
    port = _port()
    environment = {name: value for name, value in os.environ.items() if not name.startswith("COLDSET_")}
    environment |= {"COLDSET_VAR": str(tmp_path), "DJANGO_SETTINGS_MODULE": "config.settings", "COLDSET_HTTPS": "1"}
    command = [sys.executable, "manage.py", "start", "--port", str(port)]
    output = tmp_path / "printed"
    with output.open("w") as out:
        serving = subprocess.Popen(command, cwd=ROOT, env=environment, stdin=subprocess.DEVNULL, stdout=out)
    try:
        _until(lambda: "Coldset answers at" in output.read_text(), PATIENCE)
        printed = output.read_text()
        assert f"Coldset answers at http://localhost:{port}/" in printed
        assert f"{tmp_path}/secret-key" in printed
        assert f"{tmp_path}/coldset.sqlite3" in printed
        assert (tmp_path / "secret-key").stat().st_mode & 0o077 == 0
        link = next(line for line in printed.splitlines() if "/set-up/" in line)
        with urlopen(link, timeout=20) as page:  # noqa: S310 - our own address
            assert "Set up your kitchen" in page.read().decode()
        listening = Path("/proc/net/tcp").read_text()
        assert f"0100007F:{port:04X}" in listening, "on loopback"
        assert f"00000000:{port:04X}" not in listening, "and nowhere else"
    finally:
        serving.terminate()
        serving.wait(timeout=120)


def test_a_part_that_dies_at_once_is_started_less_and_less_often(monkeypatch: pytest.MonkeyPatch) -> None:
    clock, started = [1000.0], []
    monkeypatch.setattr(supervisor.time, "monotonic", lambda: clock[0])

    def start() -> subprocess.Popen[bytes]:
        started.append(clock[0])
        process = subprocess.Popen([sys.executable, "-c", ""], start_new_session=True)
        process.wait()
        return process

    part = Part("a part", start)
    while len(started) < 8:
        clock[0] += 0.25
        part.look(now=clock[0])
    gaps = [second - first for first, second in pairwise(started)]
    assert [round(gap - 0.25, 2) for gap in gaps] == [0.5, 1.0, 2.0, 5.0, 10.0, 30.0, 30.0]
    clock[0] += supervisor.WELL
    part.look(now=clock[0])
    clock[0] += 0.5
    part.look(now=clock[0])
    assert len(started) == 9, "one that ran for a while is started again soon"
