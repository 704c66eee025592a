"""Settings by environment variable: reading them, and the reasons for which the tool will not start."""

import os
import secrets
from pathlib import Path

from django.core.exceptions import ImproperlyConfigured

LOCAL_HOSTS = frozenset({"localhost", "127.0.0.1", "[::1]", "testserver"})
SHORTEST_SECRET_KEY = 40


def switched_on(name: str) -> bool:
    """Whether the variable says 1, true, yes or on; anything else it might hold is refused rather than guessed at."""
    value = os.environ.get(name, "").strip().lower()
    if value in {"", "0", "false", "no", "off"}:
        return False
    if value in {"1", "true", "yes", "on"}:
        return True
    raise ImproperlyConfigured(f"{name} is {value!r}: say 1 or 0")


def listed(name: str, default: str) -> list[str]:
    return [item.strip() for item in os.environ.get(name, default).split(",") if item.strip()]


def secret_key(folder: Path) -> str:
    """The key from CLUBSHOP_SECRET_KEY, else one made once and kept in the data folder for its owner's eyes only."""
    key = os.environ.get("CLUBSHOP_SECRET_KEY", "")
    path = folder / "secret_key"
    if not key:
        if not path.exists():
            folder.mkdir(mode=0o700, parents=True, exist_ok=True)
            _write_once(path, secrets.token_urlsafe(50))
        key = path.read_text(encoding="ascii").strip()
    if len(key) < SHORTEST_SECRET_KEY:
        raise ImproperlyConfigured(
            f"the secret key is shorter than {SHORTEST_SECRET_KEY} characters; make a longer one"
        )
    return key


def _write_once(path: Path, text: str) -> None:
    try:
        descriptor = os.open(path, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
    except FileExistsError:  # another process was quicker
        return
    with os.fdopen(descriptor, "w", encoding="ascii") as file:
        file.write(text)


def refuse_unsafe(*, debug: bool, https: bool, hosts: list[str]) -> None:
    """Stop with a reason where these settings would expose the club."""
    elsewhere = [host for host in hosts if host not in LOCAL_HOSTS]
    if "*" in hosts or any(host.startswith(".") for host in hosts):
        raise ImproperlyConfigured("CLUBSHOP_HOSTS must name each host in full; '*' and '.example' let any name in")
    if debug and elsewhere:
        raise ImproperlyConfigured(
            f"CLUBSHOP_DEBUG shows the program's insides; not with {', '.join(elsewhere)} served"
        )
    if elsewhere and not https and not switched_on("CLUBSHOP_PLAIN_HTTP"):
        raise ImproperlyConfigured(
            f"{', '.join(elsewhere)} would be served without encryption: set CLUBSHOP_HTTPS=1 behind a proxy that "
            "encrypts, or CLUBSHOP_PLAIN_HTTP=1 where the network is the club's own and you accept it"
        )
