"""Brings an installation up to date and becomes the server: the same for the club and for the demo."""

import os
import sys
from typing import NoReturn

from django.conf import settings
from django.core.management import call_command
from django.db import connections

WORKERS, THREADS = 2, 16  # threads, because two slow phones would stop two plain workers


def bring_up_to_date() -> None:
    """Tables and static files as this version of the program wants them."""
    call_command("migrate", interactive=False, verbosity=0)
    call_command("collectstatic", interactive=False, verbosity=0)


def become_server(*, host: str, port: int) -> NoReturn:
    """Replace this process by the production server."""
    connections.close_all()
    arguments = ["-w", str(WORKERS), "--threads", str(THREADS), "--reuse-port", "--bind", f"{host}:{port}"]
    arguments += ["--no-control-socket", "--chdir", str(settings.BASE_DIR), "clubshop.wsgi:application"]
    sys.stdout.flush()
    os.execv(sys.executable, [sys.executable, "-m", "gunicorn", *arguments])  # noqa: S606 - no shell, fixed program
