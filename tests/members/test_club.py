"""The club's settings: one row, two editors, the zone on pages."""

import uuid
from datetime import UTC, datetime

import pytest

from restorations.members.models import Act, Club
from tests.cast import Cast

FIELDS = {
    "name": "Tern Valley Model Engineers",
    "time_zone": "Europe/London",
    "altitude_m": "120",
    "minutes_per_day_waited": "10",
    "function_test_minutes": "15",
}


def _form(**data: object) -> dict[str, object]:
    return {**FIELDS, "version": Club.current().version, "submission": str(uuid.uuid4()), **data}


def test_settings_are_saved_and_written_down(cast: Cast) -> None:
    browser = cast.browser("administrator")
    assert browser.post("/club/", _form()).status_code == 302
    assert Club.current().name == FIELDS["name"]
    assert Act.objects.about(Club.current()).get().after == {"name": FIELDS["name"], "altitude_m": 120}
    assert FIELDS["name"] in browser.get("/people/").text


def test_reading_the_club_writes_no_row(cast: Cast) -> None:
    cast.browser("member").get("/people/")
    assert not Club.objects.exists()


def test_two_editors_see_both_versions_and_the_second_may_insist(cast: Cast) -> None:
    browser, late = cast.browser("administrator"), _form(name="Late", altitude_m="7")
    browser.post("/club/", _form(name="Early"))
    response = browser.post("/club/", late)
    assert response.status_code == 409
    row = response.text.partition("Name of the club</th>")[2].partition("</tr>")[0]
    assert ">Early<" in row
    assert ">Late<" in row
    assert Club.current().name == "Early"
    browser.post("/club/", {**late, "version": Club.current().version})
    assert (Club.current().name, Club.current().altitude_m) == ("Late", 7)


def test_htmx_gets_the_form_alone_and_a_saved_form_loads_the_page(cast: Cast) -> None:
    browser, htmx = cast.browser("administrator"), {"hx-request": "true"}
    wrong = browser.post("/club/", _form(altitude_m="9000"), headers=htmx)
    assert wrong.status_code == 422
    assert wrong.text.startswith('<div id="club-form">')
    assert 'value="9000"' in wrong.text
    saved = browser.post("/club/", _form(), headers=htmx)
    assert (saved.status_code, saved.headers["HX-Redirect"]) == (204, "/club/")


@pytest.mark.parametrize(
    ("field", "value"),
    [("name", ""), ("name", "x" * 81), ("time_zone", "Mars/Base"), ("time_zone", "../etc"), ("altitude_m", "high")],
)
def test_settings_that_cannot_be_are_refused(cast: Cast, field: str, value: str) -> None:
    assert cast.browser("administrator").post("/club/", _form(**{field: value})).status_code == 422
    assert not Club.objects.exists()


def test_pages_are_in_the_clubs_zone(cast: Cast) -> None:
    Club(pk=1, time_zone="Australia/Sydney").save()
    at = datetime(2024, 6, 1, 20, 0, tzinfo=UTC)
    Act.objects.create(member=cast.mate, verb="noted", row_kind="members.member", row_id=cast.mate.pk, at=at)
    assert "2 Jun 2024, 06.00" in cast.browser("mate").get(f"/people/{cast.mate.pk}/").text
