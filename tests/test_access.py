"""Role by route by method: who is let in where. The table is in tests/access (table.py says how to add a row)."""

from collections.abc import Iterator
from typing import Any

import pytest
from django.db import connection, transaction
from django.test.utils import CaptureQueriesContext
from django.urls import URLPattern, URLResolver, get_resolver, reverse

from tests.access import (
    conclusions,
    engines,
    faults,
    home,
    knowledge,
    members,
    photos,
    running,
    stoppages,
    tasks,
    traffic,
    work,
)
from tests.access.table import ANSWERS, Row, World
from tests.cast import ANONYMOUS, EVERYBODY, Cast

ROWS: list[Row] = [
    *home.ROWS, *members.ROWS, *engines.ROWS, *photos.ROWS, *tasks.ROWS, *work.ROWS, *faults.ROWS, *traffic.ROWS,
    *stoppages.ROWS, *conclusions.ROWS, *knowledge.ROWS, *running.ROWS,
]  # fmt: skip
READING = ("SELECT", "SAVEPOINT", "RELEASE", "ROLLBACK", "PRAGMA", "BEGIN", "DECLARE")


def _named(rows: list[Row]) -> list[Any]:
    return [pytest.param(row, id=_name(row)) for row in rows]


def _name(row: Row) -> str:
    return f"{row.route} ({row.why})" if row.why else row.route


def _questions() -> list[Any]:
    """Each row's own methods, and once for each route the methods that no row of it allows."""
    asked = []
    for method in ("get", "post"):
        answering = [row for row in ROWS if row.answers(method)]
        allowed = {row.route for row in answering}
        refusing = {row.route: row for row in ROWS if row.route not in allowed}
        asked += [(row, method) for row in (*answering, *refusing.values())]
    return [pytest.param(row, method, id=f"{method} {_name(row)}") for row, method in asked]


def _routes(resolver: Any, namespace: str = "") -> Iterator[str]:
    for pattern in resolver.url_patterns:
        if isinstance(pattern, URLResolver):
            yield from _routes(pattern, f"{namespace}{pattern.namespace}:" if pattern.namespace else namespace)
        elif isinstance(pattern, URLPattern):
            yield f"{namespace}{pattern.name}"


def _word(response: Any) -> str:
    if response.status_code == 302 and response.url.startswith(reverse("members:sign_in")):
        return "sign_in"
    return next((word for word, codes in ANSWERS.items() if response.status_code in codes), str(response.status_code))


def _ask(row: Row, method: str, role: str, cast: Cast) -> str:
    """The word this role is answered, in a fresh world that is taken back afterwards."""
    with transaction.atomic():
        world = World(cast)
        address = reverse(row.route, args=row.args(world))
        browser = cast.browser(role)
        answer = _word(browser.get(address) if method == "get" else browser.post(address, row.data(world)))
        transaction.set_rollback(True)
    # Signing out sends everybody to the sign-in page: that is its purpose, not a refusal.
    return "redirect" if answer == "sign_in" and row.expected(method, role) == "redirect" else answer


def test_every_route_has_a_row() -> None:
    missing = sorted(set(_routes(get_resolver())) - {row.route for row in ROWS})
    assert not missing, f"no row in tests/access for: {', '.join(missing)}"


def test_every_row_names_a_route_known_roles_and_known_answers() -> None:
    routes = set(_routes(get_resolver()))
    wrong = [row.route for row in ROWS if row.route not in routes]
    wrong += [f"{row.route}: {role}" for row in ROWS for role in {*row.get, *row.post} - {*EVERYBODY, "*"}]
    words = {*ANSWERS, "sign_in"}
    wrong += [f"{row.route}: {word}" for row in ROWS for word in {*row.get.values(), *row.post.values()} - words]
    assert not wrong


@pytest.mark.parametrize(("row", "method"), _questions())
def test_each_role_gets_what_the_table_says(row: Row, method: str, cast: Cast) -> None:
    wrong = {}
    for role in EVERYBODY:
        answer = _ask(row, method, role, cast)
        if answer != row.expected(method, role):
            wrong[role] = f"{answer} instead of {row.expected(method, role)}"
    assert not wrong


@pytest.mark.parametrize("row", _named([row for row in ROWS if row.get]))
def test_looking_at_a_page_never_writes(row: Row, cast: Cast) -> None:
    world = World(cast)
    address = reverse(row.route, args=row.args(world))
    role = next((role for role in EVERYBODY if row.expected("get", role) == "ok"), ANONYMOUS)
    browser = cast.browser(role)
    with CaptureQueriesContext(
        connection,
    ) as queries:
        browser.get(address)
    writes = [query["sql"] for query in queries if not query["sql"].lstrip().upper().startswith(READING)]
    assert not writes
