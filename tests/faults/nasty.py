"""Values nobody should send, and the rule that holds for each: a clear answer, and nothing half saved."""

from typing import Any

from django.apps import apps
from django.test import Client

NASTY = {
    "nothing": "",
    "blanks": " \t\n",
    "null bytes": "a\x00b",
    "html": "<script>alert(1)</script>",
    "emoji": "🚂" * 50,
    "long": "x" * 20000,
    "huge number": "9" * 400,
    "minus": "-1",
    "not a number": "nan",
    "right to left": "\u202edesrever",
    "quotes": "'; DROP TABLE faults_step; --",
    "template": "{{ settings.SECRET_KEY }}{% now %}",
    "path": "../../../../etc/passwd",
    "list": "[]",
    "far date": "9999-12-31T23:59",
    "early date": "0001-01-01",
}
ANSWERS = {200, 204, 302, 403, 404, 409, 422}


def pairs(fields: list[str], *, at_most: int = 2**10, start: int = 0) -> list[tuple[str, str]]:
    """Every value in some field and every field with two values at least; all with all would take minutes."""
    values = list(NASTY.values())
    rounds = min(max(len(values), 2 * len(fields)), at_most)
    return [(fields[i % len(fields)], values[(start + i + i // len(fields)) % len(values)]) for i in range(rounds)]


def rows() -> dict[str, int]:
    """How many rows there are of everything of ours, sessions apart."""
    return {
        model._meta.label: model._default_manager.count()
        for model in apps.get_models()
        if not model._meta.app_label.startswith(("auth", "contenttypes", "sessions"))
    }


def check(client: Client, address: str, data: dict[str, Any], headers: dict[str, str] | None = None) -> None:
    """Send it; the test client raises whatever would be a bare 500."""
    before = rows()
    response = client.post(address, data, headers=headers)
    assert response.status_code in ANSWERS, (address, data)
    if response.status_code >= 400:
        assert rows() == before, (address, data)
        assert b"<script>alert(1)" not in response.content
