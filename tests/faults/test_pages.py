"""The pages of a sheet: what they show, to whom, and with how many queries."""

import re
from typing import Any

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from restorations.faults.models import FaultSheet
from restorations.faults.page import read_page
from tests.cast import Cast
from tests.engines.sent import HTMX
from tests.factories import NOON, make_guest
from tests.faults.builders import (
    bench_engine,
    bench_sheet,
    do,
    latest,
    make_go_ahead,
    make_part,
    make_sheet,
    make_soak,
    make_step,
    see,
    two_sided,
)
from tests.faults.sent import page_of, post

RISKY = "rebush_big_end@middle"
PAGES = ("sheet", "causes", "findings", "actions")


def _queries(cast: Cast, address: str, who: str = "member") -> int:
    browser = cast.browser(who)
    browser.get(address)
    with CaptureQueriesContext(connection) as queries:
        assert browser.get(address).status_code == 200
    return len(queries)


def _lines(cast: Cast, sheet: FaultSheet, number: int) -> None:
    """Lines of all sorts: struck out, waiting, by others, under a go-ahead."""
    people = [cast.member, cast.mate, cast.mentor, cast.owner]
    for index in range(number):
        by = people[index % 4]
        row = make_go_ahead(
            sheet, by, action=f"no_such_step{sheet.go_aheads.count()}", answer="given", answered_at=NOON,
            answered_by=people[index % 4 - 1],
        )  # fmt: skip
        step = make_step(sheet, by, accepted=index % 3 > 0, go_ahead=row, action=RISKY)
        if index % 4 == 3:
            step.strike_out(member=cast.mentor, reason="wrong side")
        make_part(sheet.engine, by, component="", place="", ended_at=NOON, ended_by=by, ending="refitted")
        make_soak(sheet.engine, by, ended_at=NOON, ended_by=by)


# Queries


@pytest.mark.parametrize("who", ["member", "mentor", "stranger"])
def test_a_sheet_of_twelve_lines_needs_no_more_queries_than_one_of_one(cast: Cast, who: str) -> None:
    sheet = bench_sheet(cast)
    _lines(cast, sheet, 1)
    few = _queries(cast, sheet.get_absolute_url(), who)
    _lines(cast, sheet, 11)
    assert sheet.steps.count() == 12
    assert _queries(cast, sheet.get_absolute_url(), who) == few


@pytest.mark.parametrize("route", ["causes", "findings", "actions", "state", "history"])
def test_no_other_page_grows_with_the_sheet_either(cast: Cast, route: str) -> None:
    sheet = bench_sheet(cast)
    address = reverse(f"faults:{route}", args=[sheet.pk])
    _lines(cast, sheet, 1)
    few = _queries(cast, address)
    _lines(cast, sheet, 11)
    assert _queries(cast, address) == few


def test_the_list_of_open_sheets_does_not_grow(cast: Cast) -> None:
    bench_sheet(cast)
    few = _queries(cast, "/sheets/")
    for _ in range(9):
        bench_sheet(cast)
    assert _queries(cast, "/sheets/") == few


def test_my_bench_needs_no_more_queries_for_five_engines_with_sheets_than_for_one(cast: Cast) -> None:
    def add(number: int) -> None:
        sheet = make_sheet(bench_engine(cast, name=f"Wren {number}"), opened_by=cast.member)
        see(sheet, cast.member, "wheels_stiff", 1)
        make_go_ahead(sheet, cast.member, action=RISKY)

    add(0)
    few = _queries(cast, "/")
    for number in range(1, 5):
        add(number)
    assert _queries(cast, "/") == few


# Who sees it


def test_strangers_read_a_club_engines_sheet_and_write_as_helpers(cast: Cast) -> None:
    page = page_of(cast, bench_sheet(cast), "stranger")
    assert "Will not turn" in page
    assert 'href="/sheets/' in page


@pytest.mark.parametrize("who", ["stranger", "mate", "mentor", "secretary", "inspector", "administrator"])
def test_a_private_engines_sheet_is_not_there_for_others(cast: Cast, who: str) -> None:
    engine = bench_engine(cast, is_private=True, hands=(cast.member,))
    sheet = make_sheet(engine, opened_by=cast.member, complaint="A secret knock")
    step, row = make_step(sheet, cast.member), make_go_ahead(sheet, cast.member, action=RISKY)
    browser = cast.browser(who)
    for route in (*PAGES, "state", "history"):
        assert browser.get(reverse(f"faults:{route}", args=[sheet.pk])).status_code == 404
    for act in ("observe", "record", "note", "rank", "ask"):
        assert browser.post(f"/sheets/{sheet.pk}/{act}/").status_code == 404
    assert browser.get(f"/steps/{step.pk}/strike/").status_code == 404
    assert browser.get(f"/go-aheads/{row.pk}/").status_code == 404
    assert "A secret knock" not in browser.get("/sheets/").text
    assert "A secret knock" not in browser.get("/").text


def test_a_secretary_sees_a_private_engines_page_without_its_contents(cast: Cast) -> None:
    engine = bench_engine(cast, name="Dot", is_private=True, hands=(cast.member,))
    make_sheet(engine, opened_by=cast.member, complaint="A secret knock")
    make_part(engine, cast.member, component="connecting_rod", place="middle")
    page = cast.browser("secretary").get(f"/engines/{engine.pk}/")
    assert page.status_code == 200
    assert "Dot" in page.text
    assert "A secret knock" not in page.text
    assert "Connecting rod" not in page.text
    assert "A secret knock" in cast.browser("member").get(f"/engines/{engine.pk}/").text
    assert cast.browser("stranger").get(f"/engines/{engine.pk}/").status_code == 404


def test_a_guest_reads_as_long_as_they_are_one(cast: Cast) -> None:
    engine = bench_engine(cast, is_private=True, hands=(cast.member,))
    sheet = make_sheet(engine, opened_by=cast.member)
    guest = make_guest(engine, cast.mentor)
    assert cast.browser("mentor").get(sheet.get_absolute_url()).status_code == 200
    type(guest).objects.filter(pk=guest.pk).update(until=guest.since)
    assert cast.browser("mentor").get(sheet.get_absolute_url()).status_code == 404


# What it shows


def test_before_anything_was_seen_the_page_asks_what_it_does(cast: Cast) -> None:
    sheet = make_sheet(bench_engine(cast), opened_by=cast.member, complaint="The wheels are stiff to turn")
    page = page_of(cast, sheet)
    assert "What does it do, or not do?" in page
    assert f'href="/sheets/{sheet.pk}/findings/wheels_stiff/"' in page


def test_the_page_has_now_why_and_so_far_and_names_who_decides(cast: Cast) -> None:
    sheet = bench_sheet(cast)
    see(sheet, cast.member, "wheels_stiff", 1)
    page = page_of(cast, sheet)
    for heading in ("<h2>Now</h2>", "<h2>Why we think so</h2>", "<h2>So far</h2>"):
        assert heading in page
    assert "local codes" in page.lower()
    assert "inspector" in page


def test_suspicion_is_ringed_on_the_outline_with_the_numbers_of_the_list(cast: Cast) -> None:
    sheet = make_sheet(two_sided(cast), opened_by=cast.member)
    see(sheet, cast.member, "wheels_stiff", 1)
    suspects = read_page(sheet, at=NOON).suspects
    page = page_of(cast, sheet)
    assert [suspect.number for suspect in suspects] == list(range(1, len(suspects) + 1))
    assert [suspect.p for suspect in suspects] == sorted((suspect.p for suspect in suspects), reverse=True)
    assert all(suspect.name in page for suspect in suspects)
    assert page.count('<span class="balloon">') == len(suspects)


def test_nothing_is_ever_more_than_ninety_nine_in_a_hundred(cast: Cast) -> None:
    sheet = bench_sheet(cast)
    see(sheet, cast.member, "wheels_stiff", 1)
    snapshot = latest(sheet)
    snapshot.log_odds["piston_gummed@middle"] = 34.0
    snapshot.save()
    page = page_of(cast, sheet)
    assert "99 in 100" in page
    assert not re.search(r"\b100 ?%|1000 in 1000|100 in 100", page)


def test_something_dangerous_says_stop_before_anything_else(cast: Cast) -> None:
    sheet = bench_sheet(cast)
    dangerous = next(
        placed for placed in read_page(sheet, at=NOON).expanded.findings.values() if placed.entry.dangerous
    )
    see(sheet, cast.member, dangerous.id, 1)
    page = page_of(cast, sheet)
    assert "<b>Stop.</b>" in page
    assert page.index("<b>Stop.</b>") < page.index("<h2>Now</h2>")
    see(sheet, cast.member, dangerous.id, 0)
    assert "<b>Stop.</b>" not in page_of(cast, sheet)


def test_everything_that_was_weighed_is_listed_page_by_page(cast: Cast) -> None:
    sheet = bench_sheet(cast)
    causes = latest(sheet).log_odds
    browser, address = cast.browser("member"), f"/sheets/{sheet.pk}/causes/"
    shown = sum(browser.get(address, {"page": number}).text.count('<th scope="row">') for number in range(1, 5))
    assert len(causes) <= shown <= len(causes) + 25
    assert browser.get(address, {"page": "nonsense"}).status_code == 200


# Finding a finding or a step


@pytest.mark.parametrize(
    ("words", "found"),
    [("stiff", "wheels_stiff"), ("LEAKING gland", "gland_leak"), ("knocks", "knock"), ("wheels", "wheels_stiff")],
)
def test_a_finding_is_found_by_words(cast: Cast, words: str, found: str) -> None:
    sheet = bench_sheet(cast)
    page = cast.browser("member").get(f"/sheets/{sheet.pk}/findings/", {"q": words}).text
    assert f'href="/sheets/{sheet.pk}/findings/{found}' in page


def test_a_finding_is_found_by_a_tap_on_the_outline(cast: Cast) -> None:
    sheet = bench_sheet(cast)
    page = cast.browser("member").get(f"/sheets/{sheet.pk}/findings/", {"region": "wheels"}).text
    assert f"/sheets/{sheet.pk}/findings/wheels_stiff" in page
    assert f"/sheets/{sheet.pk}/findings/gland_leak" not in page


@pytest.mark.parametrize("words", ["", "zyxw", "x" * 5000, "<script>x", "🚂", "\x00", "%"])
@pytest.mark.parametrize("page", ["findings", "actions"])
def test_whatever_is_typed_into_a_search_is_answered(cast: Cast, page: str, words: str) -> None:
    sheet = bench_sheet(cast)
    data = {"q": words, "region": words, "side": words, "page": words}
    for headers in ({}, HTMX):
        response = cast.browser("member").get(f"/sheets/{sheet.pk}/{page}/", data, headers=headers)
        assert response.status_code == 200
        assert "<script>x" not in response.text


def test_a_finding_at_several_places_asks_where_first(cast: Cast) -> None:
    sheet = make_sheet(two_sided(cast), opened_by=cast.member)
    browser = cast.browser("member")
    page = browser.get(f"/sheets/{sheet.pk}/findings/rod_play/").text
    assert "Where?" in page
    assert 'name="level"' not in page
    assert 'name="level"' in browser.get(f"/sheets/{sheet.pk}/findings/rod_play@left/").text


@pytest.mark.parametrize("name", ["no_such", "@", "wheels_stiff\x00", "🚂", "x" * 500, "..", "%3Cb%3E"])
def test_a_finding_or_step_that_there_is_not_is_not_there(cast: Cast, name: str) -> None:
    sheet = bench_sheet(cast)
    for page in ("findings", "actions"):
        assert cast.browser("member").get(f"/sheets/{sheet.pk}/{page}/{name}/").status_code == 404


def test_a_step_is_shown_with_how_it_is_done_and_its_cautions(cast: Cast) -> None:
    sheet = bench_sheet(cast)
    page = cast.browser("member").get(f"/sheets/{sheet.pk}/actions/soak_cylinder@middle/").text
    assert "By hand only" in page
    assert "Begun, now it waits" in page
    assert "Could not do" in page
    assert "Not sure" in page


# State and history


def _state(sheet: FaultSheet, **changes: Any) -> dict[str, Any]:
    conditions = {f"condition_{name}": value for name, value in sheet.state["conditions"].items()}
    return {**conditions, "boiler": "cold", **changes}


def test_the_state_is_set_once_and_carried_into_what_is_seen_next(cast: Cast) -> None:
    sheet = bench_sheet(cast)
    data = _state(sheet, condition_temperature="warm", tied_down="on", slackened=["piston_gland@middle"])
    assert post(cast, "member", f"/sheets/{sheet.pk}/state/", **data).status_code == 302
    sheet.refresh_from_db()
    step = see(sheet, cast.member, "knock", 0)
    assert step.state["conditions"]["temperature"] == "warm"
    assert step.state["slackened"] == ["piston_gland@middle"]
    page = page_of(cast, sheet)
    assert "warm" in page
    assert "tied down" in page


@pytest.mark.parametrize(
    "changes",
    [
        {"condition_temperature": "tepid"},
        {"condition_wheels": ""},
        {"boiler": "exploded"},
        {"slackened": ["connecting_rod@left"]},
        {"slackened": ["\x00"]},
    ],
)
def test_a_state_that_cannot_be_is_refused(cast: Cast, changes: dict[str, Any]) -> None:
    sheet = bench_sheet(cast)
    response = post(cast, "member", f"/sheets/{sheet.pk}/state/", **_state(sheet, **changes))
    assert response.status_code == 422
    assert sheet.snapshots.count() == 1


def test_other_history_answers_rank_anew(cast: Cast) -> None:
    sheet = bench_sheet(cast)
    before = latest(sheet).log_odds
    no = {"ran_well_when_put_away": "not_known", "rebuilt_since": "no", "first_run_done": "no"}
    response = post(cast, "member", f"/sheets/{sheet.pk}/history/", ever_ran="no", **no)
    assert response.status_code == 302
    sheet.refresh_from_db()
    assert sheet.history["general"]["ever_ran"] == "no"
    assert latest(sheet).log_odds["piston_gummed@middle"] < before["piston_gummed@middle"]
    assert not read_page(sheet, at=NOON).is_stale


def test_damp_and_dry_at_once_is_refused_here_too(cast: Cast) -> None:
    sheet = bench_sheet(cast)
    answers = dict.fromkeys(("ever_ran", "ran_well_when_put_away", "rebuilt_since", "first_run_done"), "not_known")
    response = post(cast, "member", f"/sheets/{sheet.pk}/history/", stored=["damp", "dry"], **answers)
    assert response.status_code == 422
    assert "cannot both be so" in response.content.decode()


def test_a_complaint_that_shows_on_air_is_looked_at_again_by_hand_first_and_then_through_a_check(cast: Cast) -> None:
    sheet = bench_sheet(cast)
    see(sheet, cast.member, "knock", 1)
    do(sheet, cast.member, "ease_piston_gland@middle", "done")
    page = read_page(FaultSheet.objects.get(pk=sheet.pk), at=NOON)
    assert (page.stage, page.look_again.id) == ("look_again", "wheels_stiff")
    see(sheet, cast.member, "wheels_stiff", 0, reported=False)
    page = read_page(FaultSheet.objects.get(pk=sheet.pk), at=NOON)
    assert (page.stage, page.proposal.placed.target) == ("advice", "knock")
    assert {gate.fact for gate in page.proposal.preparations} == {"air_isolated", "tied_down"}
