"""Writing down what was seen: on the sheet's page, late, twice, wrongly."""

from datetime import datetime, timedelta
from typing import Any
from uuid import uuid4

import pytest
from django.utils import timezone

from restorations.faults import services
from restorations.faults.models import FaultSheet, Snapshot, Step
from restorations.faults.services.steps import StepDraft
from restorations.members.doing import Doing
from restorations.members.models import Act
from restorations.tasks.models import Soak, StrippedPart
from tests.cast import Cast
from tests.engines.sent import once
from tests.factories import NOON
from tests.faults.builders import bench_sheet, do, make_part, make_sheet, see, two_sided
from tests.faults.sent import SHEET, answer, observe, page_of, trouble


def _typed(moment: datetime) -> str:
    return timezone.localtime(moment).strftime("%Y-%m-%dT%H:%M:%S")


def test_what_was_seen_becomes_a_line_of_the_sheet_and_of_its_complaint(cast: Cast) -> None:
    sheet = bench_sheet(cast)
    response = observe(cast, sheet, note="Five degrees each way.", turn_degrees="5, 185")
    step = Step.objects.get()
    assert (response.status_code, response.headers["Location"]) == (302, sheet.get_absolute_url())
    assert (step.kind, step.finding, step.level, step.reported) == ("observation", "wheels_stiff", 1, True)
    assert (step.number, step.done_by, step.recorded_by, step.accepted_by) == (1, *[cast.member] * 3)
    assert Act.objects.about(step).get().verb == "recorded a step"
    page = page_of(cast, sheet)
    assert "Wheels stiff to turn by hand: stiff" in page
    assert "Five degrees each way." in page
    assert "at 5, 185 degrees" in page


def test_the_first_thing_seen_brings_advice_and_moves_the_suspicion(cast: Cast) -> None:
    sheet = bench_sheet(cast)
    before = sheet.latest_snapshot
    observe(cast, sheet)
    after = sheet.latest_snapshot
    assert after.advice[0]["minutes_to_finish"] > 0
    assert after.log_odds["piston_gummed@middle"] > before.log_odds["piston_gummed@middle"]
    assert len(after.remaining_minutes) == 200


def test_level_nought_is_looked_not_so_and_no_part_of_the_complaint(cast: Cast) -> None:
    sheet = bench_sheet(cast)
    observe(cast, sheet, finding="knock", level="0")
    step = Step.objects.get()
    assert (step.level, step.reported, step.words) == (0, False, "Knock or clunk when running: none")
    assert "What does it do, or not do?" in page_of(cast, sheet)


@pytest.mark.parametrize("level", ["3", "-1", "9", "99999999999999999999", "one", "1.5", "", "½", "1\x00"])
def test_a_level_out_of_range_is_refused_in_words(cast: Cast, level: str) -> None:
    sheet = bench_sheet(cast)
    response = observe(cast, sheet, level=level)
    assert response.status_code == 422
    assert trouble(response)
    assert not sheet.steps.exists()
    assert Snapshot.objects.count() == 1


@pytest.mark.parametrize(
    "finding",
    ["", "no_such_finding", "wheels_stiff@left", "rod_play@left", "truck_wheel_rubs@left", "wheels_stiff\x00", "🚂"],
)
def test_a_finding_or_a_place_that_this_engine_lacks_is_refused(cast: Cast, finding: str) -> None:
    sheet = bench_sheet(cast)
    response = observe(cast, sheet, finding=finding)
    assert response.status_code == 422
    assert "no such finding" in trouble(response)
    assert not sheet.steps.exists()


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"note": "x" * 4001}, "at most 4000"),
        ({"note": "a\x00b"}, "Null characters"),
        ({"turn_degrees": "5; 185"}, "Degrees from 0 to 360"),
        ({"turn_degrees": "361"}, "Degrees from 0 to 360"),
        ({"turn_degrees": "nan"}, "Degrees from 0 to 360"),
        ({"turn_degrees": "1e2"}, "Degrees"),
        ({"turn_degrees": "<b>5</b>"}, "Degrees from 0 to 360"),
        ({"happened_at": "yesterday"}, "valid date/time"),
        ({"happened_at": "0001-01-01T00:00"}, "Check the year"),
        ({"happened_at": "9999-12-31T23:59"}, "still to come"),
        ({"submission": "no mark"}, "valid UUID"),
    ],
)
def test_what_is_wrong_with_an_observation_is_said_and_nothing_is_saved(
    cast: Cast, changes: dict[str, Any], words: str
) -> None:
    sheet = bench_sheet(cast)
    response = observe(cast, sheet, **changes)
    assert response.status_code == 422
    assert words in trouble(response)
    assert not sheet.steps.exists()


def test_what_is_still_to_come_is_refused(cast: Cast) -> None:
    sheet = bench_sheet(cast)
    response = observe(cast, sheet, happened_at=_typed(timezone.now() + timedelta(hours=2)))
    assert response.status_code == 422
    assert "still to come" in trouble(response)


def test_the_same_form_twice_gives_one_step(cast: Cast) -> None:
    sheet, data = bench_sheet(cast), once(finding="wheels_stiff", level="1", reported="yes")
    browser = cast.browser("member")
    for _ in range(2):
        assert browser.post(f"/sheets/{sheet.pk}/observe/", data).status_code == 302
    assert sheet.steps.count() == 1
    assert sheet.snapshots.count() == 2


def test_without_htmx_the_answer_is_a_redirect_and_with_it_the_sheet_alone(cast: Cast) -> None:
    sheet = bench_sheet(cast)
    assert observe(cast, sheet).status_code == 302
    response = observe(cast, sheet, headers=SHEET, level="2")
    assert response.status_code == 200
    assert response.content.decode().strip().startswith('<div id="sheet">')
    assert "HX-Request" in response.headers["Vary"]
    assert response.content.decode().count("Wheels stiff to turn by hand: will not turn") >= 1


def test_htmx_gets_a_refusal_as_the_sheet_with_what_is_wrong(cast: Cast) -> None:
    response = observe(cast, bench_sheet(cast), headers=SHEET, level="7")
    assert response.status_code == 422
    assert response.content.decode().strip().startswith('<div id="sheet">')
    assert trouble(response)


def test_htmx_that_asks_for_no_piece_of_the_sheet_is_sent_to_it(cast: Cast) -> None:
    sheet = bench_sheet(cast)
    response = observe(cast, sheet, headers={"hx-request": "true"})
    assert (response.status_code, response.headers["HX-Redirect"]) == (204, sheet.get_absolute_url())


def test_html_in_a_note_is_shown_as_text(cast: Cast) -> None:
    sheet = bench_sheet(cast)
    observe(cast, sheet, note="<img src=x onerror=alert(1)> 🔧")
    page = page_of(cast, sheet)
    assert "&lt;img src=x onerror=alert(1)&gt; 🔧" in page
    assert "<img src=x" not in page


def test_a_note_is_kept_whole_and_its_line_is_short(cast: Cast) -> None:
    sheet, words = bench_sheet(cast), "The bell on the bench rings. " * 60
    cast.browser("member").post(f"/sheets/{sheet.pk}/note/", once(note=words))
    step = Step.objects.get()
    assert (step.kind, step.note) == ("note", words.strip())
    assert len(step.words) <= 200
    assert sheet.latest_snapshot.events == []


def test_an_empty_note_is_refused_and_keeps_the_page(cast: Cast) -> None:
    sheet = bench_sheet(cast)
    response = cast.browser("member").post(f"/sheets/{sheet.pk}/note/", once(note=" "))
    assert response.status_code == 422
    assert not sheet.steps.exists()


def test_a_helpers_line_waits_and_moves_nothing(cast: Cast) -> None:
    sheet = bench_sheet(cast)
    observe(cast, sheet, "stranger")
    step, snapshot = Step.objects.get(), sheet.latest_snapshot
    assert not step.stands
    assert (snapshot.events, snapshot.advice) == ([], [])
    assert "waits to be accepted" in page_of(cast, sheet)


# Order and time


def _at(sheet: FaultSheet, member: Any, at: datetime, happened: datetime | None = None, **fields: Any) -> Step:
    draft = StepDraft(kind="note", words="a line", happened_at=happened, **fields)
    return services.record_step(sheet=sheet, draft=draft, doing=Doing(member, at), mark=uuid4())


def test_a_live_line_is_never_placed_before_the_last_one(cast: Cast) -> None:
    sheet = bench_sheet(cast)
    first = _at(sheet, cast.member, NOON)
    second = _at(sheet, cast.mate, NOON - timedelta(hours=1))
    assert second.happened_at == first.happened_at
    assert list(sheet.steps.in_order()) == [first, second]
    assert second.recorded_at == NOON - timedelta(hours=1)


def test_a_live_line_is_not_placed_before_a_helpers_that_waits(cast: Cast) -> None:
    sheet = bench_sheet(cast)
    doing = Doing(cast.stranger, NOON, stands=False)
    waiting = services.record_step(sheet=sheet, draft=StepDraft(kind="note", words="a"), doing=doing, mark=uuid4())
    assert _at(sheet, cast.mate, NOON - timedelta(hours=1)).happened_at == waiting.happened_at


def test_a_late_line_takes_its_place_and_earlier_rankings_stay(cast: Cast) -> None:
    sheet = bench_sheet(cast)
    see(sheet, cast.member, "wheels_stiff", 1, at=NOON - timedelta(hours=2))
    kept = list(sheet.snapshots.values_list("pk", "log_odds"))
    see(sheet, cast.member, "knock", 0, at=NOON, happened_at=NOON - timedelta(hours=3))
    assert [step.finding for step in sheet.steps.in_order()] == ["knock", "wheels_stiff"]
    assert sheet.latest_snapshot.events == [2, 1]
    assert list(sheet.snapshots.values_list("pk", "log_odds"))[-len(kept) :] == kept


def test_a_late_line_is_read_with_what_was_off_then(cast: Cast) -> None:
    engine = two_sided(cast)
    sheet = make_sheet(engine, opened_by=cast.member)
    part = make_part(engine, cast.member, off_at=NOON - timedelta(hours=1))
    before = see(sheet, cast.member, "wheels_stiff", 1, at=NOON, happened_at=NOON - timedelta(hours=2))
    after = see(sheet, cast.member, "wheels_stiff", 1, at=NOON, happened_at=NOON - timedelta(minutes=5))
    assert (before.state["off"], after.state["off"]) == ([], [part.part_id])


def test_what_came_off_and_what_soaks_since_then_is_dated_then(cast: Cast) -> None:
    sheet, then = bench_sheet(cast), NOON - timedelta(days=2)
    do(
        sheet,
        cast.member,
        "turn_wheels_one_rod_off@middle",
        "1",
        taken_off=("connecting_rod@middle",),
        happened_at=then,
    )
    do(sheet, cast.member, "soak_cylinder@middle", "begun", happened_at=then)
    soak = Soak.objects.get()
    assert StrippedPart.objects.get().off_at == then
    assert (soak.begun_at, soak.due_at) == (then, then + timedelta(days=4))


def test_a_late_line_leaves_the_state_of_today_alone(cast: Cast) -> None:
    sheet = bench_sheet(cast)
    do(sheet, cast.member, "turn_wheels_warm", "1", at=NOON)
    late = do(sheet, cast.member, "turn_wheels_all_on", "1", at=NOON, happened_at=NOON - timedelta(days=1))
    sheet.refresh_from_db()
    assert late.state["conditions"]["temperature"] == "cold"
    assert sheet.state["conditions"]["temperature"] == "warm"


def test_a_check_sets_the_engine_up_and_a_thing_merely_seen_does_not(cast: Cast) -> None:
    sheet = bench_sheet(cast)
    answer(cast, sheet, "turn_wheels_warm", "1")
    sheet.refresh_from_db()
    assert sheet.state["conditions"]["temperature"] == "warm"
    observe(cast, sheet, finding="knock", level="0")
    sheet.refresh_from_db()
    assert sheet.state["conditions"]["driven_by"] == "by_hand"
