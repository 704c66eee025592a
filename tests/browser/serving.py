"""The real server, as `manage.py serve` starts it, on a folder of data of its own."""

import hashlib
import os
import shutil
import socket
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from urllib.parse import urlsplit, urlunsplit

from tests.architecture.sources import ROOT

SECONDS_TO_START = 60


POSTGRESQL = os.environ.get("CLUBSHOP_DATABASE", "")


def environment(folder: Path) -> dict[str, str]:
    inherited = {name: value for name, value in os.environ.items() if not name.startswith(("CLUBSHOP_", "DJANGO_"))}
    database = {"CLUBSHOP_DATABASE": _postgresql(folder)} if POSTGRESQL else {}
    return {**inherited, **database, "CLUBSHOP_DATA": str(folder), "PYTHONPATH": str(ROOT)}


def _postgresql(folder: Path) -> str:
    """A database of the folder's own beside the one that is named."""
    return urlunsplit(urlsplit(POSTGRESQL)._replace(path=f"/{_name(folder)}"))


def _name(folder: Path) -> str:
    return f"browser_{hashlib.sha256(str(folder).encode()).hexdigest()[:16]}"


def _create(folder: Path, template: str) -> None:
    import psycopg  # only where PostgreSQL is what is tested

    with psycopg.connect(POSTGRESQL, autocommit=True) as connection:
        connection.execute(f"CREATE DATABASE {_name(folder)} TEMPLATE {template}")  # type: ignore[arg-type] # ours


def prepare(folder: Path) -> None:
    """Make an installation with the cast; takes some seconds, so do it once and copy."""
    if POSTGRESQL:
        _create(folder, "template1")
    subprocess.run([sys.executable, "-m", "tests.browser.prepare"], cwd=ROOT, env=environment(folder), check=True)


@contextmanager
def served(original: Path, folder: Path) -> Iterator[str]:
    """The address of a server on a copy of the original folder."""
    shutil.copytree(original, folder)
    if POSTGRESQL:
        _create(folder, _name(original))
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
