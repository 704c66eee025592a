"""The real server, as `manage.py serve` starts it, on a folder of data of its own."""

import os
import shutil
import socket
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from tests.architecture.sources import ROOT

SECONDS_TO_START = 60


def environment(folder: Path) -> dict[str, str]:
    inherited = {name: value for name, value in os.environ.items() if not name.startswith(("CLUBSHOP_", "DJANGO_"))}
    return {**inherited, "CLUBSHOP_DATA": str(folder), "PYTHONPATH": str(ROOT)}


def prepare(folder: Path) -> None:
    """Make an installation with the cast; takes some seconds, so do it once and copy."""
    subprocess.run([sys.executable, "-m", "tests.browser.prepare"], cwd=ROOT, env=environment(folder), check=True)


@contextmanager
def served(original: Path, folder: Path) -> Iterator[str]:
    """The address of a server on a copy of the original folder."""
    shutil.copytree(original, folder)
    port = _free_port()
    with (folder / "server.log").open("w", encoding="utf-8") as log:
        command = [sys.executable, "manage.py", "serve", "--port", str(port)]
        server = subprocess.Popen(command, cwd=ROOT, env=environment(folder), stdout=log, stderr=log)  # noqa: S603
        try:
            _wait_for(server, port, folder / "server.log")
            yield f"http://127.0.0.1:{port}"
        finally:
            server.terminate()
            server.wait(timeout=30)


def _free_port() -> int:
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return int(probe.getsockname()[1])


def _wait_for(server: subprocess.Popen[bytes], port: int, log: Path) -> None:
    give_up = time.monotonic() + SECONDS_TO_START
    while time.monotonic() < give_up and server.poll() is None:
        with socket.socket() as probe:
            if probe.connect_ex(("127.0.0.1", port)) == 0:
                return
        time.sleep(0.05)
    raise RuntimeError(f"the server did not start:\n{log.read_text(encoding='utf-8')}")
