"""Nasty values at every form of the shop, from what each of them should be sent."""

from typing import Any
from uuid import uuid4

import pytest
from django.db import transaction
from django.urls import reverse

from restorations.members.models import Club
from tests.access import tasks, work
from tests.access.table import Row, World
from tests.cast import Cast
from tests.engines.sent import names_asked
from tests.faults.nasty import check, pairs, rows

WRITTEN = {"redirect", "invalid"}
FORMS = [row for row in (*tasks.ROWS, *work.ROWS) if row.expected("post", "member") in WRITTEN and not row.why]
FEW = 10


def _fields(row: Row, page: str, data: dict[str, Any]) -> list[str]:
    """What the access table sends, and what the page asks for besides."""
    asked = names_asked(page) if row.get else set()
    return sorted({*data, *asked} - {"csrfmiddlewaretoken", "q", "page"})


@pytest.mark.parametrize(("number", "row"), list(enumerate(FORMS)), ids=[row.route for row in FORMS])
def test_a_nasty_value_in_any_field_is_answered_and_nothing_is_half_saved(cast: Cast, number: int, row: Row) -> None:
    world, client = World(cast), cast.browser("member")
    address = reverse(row.route, args=row.args(world))
    fields = _fields(row, client.get(address).text if row.get else "", row.data(world))
    for field, nasty in pairs(fields or ["submission"], at_most=FEW, start=number):
        with transaction.atomic():
            check(client, address, {"submission": str(uuid4()), **row.data(world), field: nasty})
            transaction.set_rollback(True)


@pytest.mark.parametrize("row", FORMS, ids=[row.route for row in FORMS])
def test_a_form_sent_empty_saves_nothing_and_a_page_says_what_is_missing(cast: Cast, row: Row) -> None:
    address = reverse(row.route, args=row.args(World(cast)))
    before = rows()
    response = cast.browser("member").post(address)
    assert rows() == before
    assert response.status_code == 422 or not row.get


@pytest.mark.parametrize("zone", ["Pacific/Auckland", "America/Los_Angeles"])
@pytest.mark.parametrize("row", FORMS, ids=[row.route for row in FORMS])
def test_the_ends_of_the_calendar_are_answered_in_any_zone(cast: Cast, row: Row, zone: str) -> None:
    Club.objects.update_or_create(pk=1, defaults={"time_zone": zone})
    world, client = World(cast), cast.browser("member")
    address = reverse(row.route, args=row.args(world))
    fields = _fields(row, client.get(address).text if row.get else "", row.data(world))
    moments = [field for field in fields if field.endswith(("_at", "_on", "_by", "until", "happened"))]
    for field in moments:
        for moment in ("9999-12-31T23:59", "0001-01-01T00:00", "9999-12-31", "0001-01-01"):
            check(client, address, {"submission": str(uuid4()), **row.data(world), field: moment})
