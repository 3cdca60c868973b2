"""What the start lines in config/deploy say can be started, and serves."""

import re
import shlex
import subprocess
import sys
import urllib.request
from collections.abc import Iterator
from contextlib import ExitStack, contextmanager
from pathlib import Path

import pytest

from config.settings import OUTBOX_LANES
from tests.databases import ROOT, RealDatabase
from tests.integration.catalog.outbox.test_outbox_processes import _until

DEPLOY = ROOT / "config" / "deploy"
#: Seconds: seven processes start at once, and the first collects the static files.
PATIENCE = 240
HERE = Path(sys.executable).parent


def _procfile() -> dict[str, str]:
    lines = (DEPLOY / "Procfile").read_text().splitlines()
    return dict(line.split(": ", 1) for line in lines)


def _unit(name: str, lane: str = "") -> str:
    (line,) = re.findall(r"^ExecStart=(.*)$", (DEPLOY / name).read_text(), re.MULTILINE)
    return str(line).replace("/srv/coldset/.venv/bin/", "").replace("%i", lane).replace("%%", "%")


SYSTEMD = {
    "web": _unit("coldset-web.service"),
    **{lane: _unit("coldset-lane@.service", lane) for lane in OUTBOX_LANES},
    "beat": _unit("coldset-beat.service"),
}


@contextmanager
def _started(line: str, environment: dict[str, str]) -> Iterator[subprocess.Popen[bytes]]:
    command = re.sub(r"\$\{(\w+):-([^}]*)\}", lambda found: environment.get(found[1], found[2]), line)
    program, *arguments = shlex.split(command)
    process = subprocess.Popen(
        [str(HERE / program), *arguments],
        cwd=ROOT,
        env=environment,
        stdin=subprocess.DEVNULL,
        stdout=subprocess.DEVNULL,
        stderr=subprocess.DEVNULL,
    )
    try:
        yield process
    finally:
        process.terminate()
        try:
            process.wait(timeout=120)
        except subprocess.TimeoutExpired:
            process.kill()
            process.wait()


def _answers(port: int) -> bool:
    try:
        with urllib.request.urlopen(f"http://127.0.0.1:{port}/health", timeout=60) as answer:
            return bool(answer.status == 200)
    except OSError:
        return False


def _port() -> int:
    import socket

    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return int(probe.getsockname()[1])


def _environment(database: RealDatabase, folder: Path, **more: str) -> dict[str, str]:
    secret = "only-to-start-it-0123456789-abcdefghijklmnopqrstuvwxyz"
    base = {**database.environment, "DJANGO_SETTINGS_MODULE": "config.settings", "COLDSET_VAR": str(folder)}
    return {**base, "COLDSET_SECRET_KEY": secret, "COLDSET_HTTPS": "0", "CELERY_SKIP_CHECKS": "1", **more}


def _request_work(environment: dict[str, str]) -> None:
    """Request one piece of work in each lane, about something that is not there: each is tried, to no effect."""
    program = (
        "import django; django.setup()\n"
        "from django.utils import timezone\n"
        "from django.db import transaction\n"
        "from catalog.outbox.services import outbox_add\n"
        "with transaction.atomic(durable=True):\n"
        "    for kind in ('price_list', 'quote_pdf', 'invoice_mail', 'export_files', 'window_check'):\n"
        "        payload = {'price_list': 1, 'quote': 1, 'invoice': 1, 'batch': 1, 'key': ''}\n"
        "        outbox_add(kind=kind, payload=payload, about='', summary='', at=timezone.now())\n"
    )
    subprocess.run([sys.executable, "-c", program], cwd=ROOT, env=environment, check=True, timeout=120)


def _each_lane_tried_its_work(database: RealDatabase) -> bool:
    rows = database.rows("SELECT attempts FROM catalog_outbox ORDER BY id")
    return [row[0] for row in rows] == [1] * len(OUTBOX_LANES)


def test_one_machine_is_started_by_its_unit(real_database: RealDatabase, tmp_path: Path) -> None:
    port = _port()
    environment = _environment(real_database, tmp_path, COLDSET_BROKER_URL="")
    line = _unit("coldset.service").replace("8000", str(port))
    with _started(line, environment):
        _until(lambda: _answers(port), PATIENCE)
        _request_work(environment)
        _until(lambda: _each_lane_tried_its_work(real_database), PATIENCE)


@pytest.mark.postgres
@pytest.mark.redis
@pytest.mark.parametrize("lines", [_procfile(), SYSTEMD], ids=["procfile", "systemd"])
def test_web_server_lanes_and_clock_are_started_by_their_lines(
    with_broker: RealDatabase, tmp_path: Path, lines: dict[str, str]
) -> None:
    port = _port()
    environment = _environment(with_broker, tmp_path, PORT=str(port))
    with ExitStack() as stack:
        started = [
            stack.enter_context(_started(line.replace("8000", str(port)), environment)) for line in lines.values()
        ]
        _until(lambda: _answers(port), PATIENCE)
        _request_work(environment)
        _until(lambda: _each_lane_tried_its_work(with_broker), PATIENCE)
        assert [process.poll() for process in started] == [None] * len(lines)
    assert set(lines) == {"web", *OUTBOX_LANES, "beat"}
