"""My bench: what waits for whom, by where they stand; the same number of queries whatever waits."""

from datetime import UTC, date, datetime, timedelta
from typing import Any

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from restorations.engines.models import Engine
from restorations.home.bench import my_bench
from restorations.members.models import Member
from restorations.traffic.models import Attendance, RunningDay
from tests.cast import Cast
from tests.factories import NOON, make_engine, make_hand, make_stop
from tests.faults.builders import make_go_ahead, make_part, make_sheet, make_soak, make_step, see
from tests.home.rows import make_attempt, make_card, make_connection, make_entry, make_reading, make_tag, make_wanted
from tests.photos.builders import make_photo


def _engine(cast: Cast, **changes: Any) -> Engine:
    return make_engine(hands=(cast.member, cast.mate), **changes)


def _bench(member: Member) -> Any:
    return my_bench(member, at=timezone.now())


def test_the_cards_i_am_on_are_mine_to_see_and_nobody_elses(cast: Cast) -> None:
    card = make_card(_engine(cast), cast.mate)
    card.people.add(cast.member)
    assert [row.title for row in _bench(cast.member).cards] == ["Make a gland nut"]
    assert _bench(cast.mate).cards == []


def test_everything_a_helper_wrote_waits_on_the_benches_of_the_hands(cast: Cast) -> None:
    engine, helper = _engine(cast), cast.stranger
    sheet = make_sheet(engine, opened_by=cast.member)
    make_step(sheet, helper, accepted=False)
    for make in (make_entry, make_reading, make_part, make_connection, make_soak, make_attempt, make_tag, make_photo):
        make(engine, helper, accepted=False)
    said = {line.what for line in _bench(cast.mate).to_accept}
    assert said == {
        "Day book", "Reading", "Fault sheet", "Came off", "Parted", "Soak begun", "Tried to free it", "Tag put on",
        "Photo",
    }  # fmt: skip
    assert _bench(helper).to_accept == []


def test_an_ending_that_a_helper_wrote_waits_too(cast: Cast) -> None:
    engine = _engine(cast)
    make_part(
        engine, cast.member, ended_at=timezone.now(), ended_by=cast.stranger, ending="refitted", ending_waits=True
    )
    assert [line.what for line in _bench(cast.mate).to_accept] == ["Refitted"]


def test_an_owner_has_the_helpers_lines_of_the_own_engine(cast: Cast) -> None:
    make_entry(make_engine(owner_member=cast.owner), cast.stranger, accepted=False)
    assert len(_bench(cast.owner).to_accept) == 1


def test_a_soak_says_when_it_is_due(cast: Cast) -> None:
    engine, now = _engine(cast), timezone.now()
    make_soak(engine, cast.member, place="left", due_at=now + timedelta(days=2))
    make_soak(engine, cast.member, place="right", begun_at=now - timedelta(days=9), due_at=now - timedelta(hours=1))
    assert [(line.where, line.is_due) for line in _bench(cast.mate).soaks] == [
        ("right side", True),
        ("left side", False),
    ]


def test_a_soak_whose_care_is_due_says_so_before_its_end(cast: Cast) -> None:
    now = timezone.now()
    make_soak(_engine(cast), cast.member, due_at=now + timedelta(days=2), next_care_at=now - timedelta(minutes=1))
    assert _bench(cast.member).soaks[0].is_due


def test_the_parts_i_took_off_are_named(cast: Cast) -> None:
    engine = _engine(cast)
    make_part(engine, cast.member)
    make_part(engine, cast.mate, place="right")
    assert [line.name for line in _bench(cast.member).parts] == ["Connecting rod, left side"]


def test_the_next_check_and_the_tools_for_three_of_them_are_listed_once(cast: Cast) -> None:
    engine = _engine(cast, configuration={"kind": "tank_locomotive"})
    see(make_sheet(engine, opened_by=cast.member), cast.member, "wheels_stiff", 2)
    bench = _bench(cast.member)
    (line,) = bench.sheets
    wanted = {tool for check in line.checks for tool in check.entry.tools}
    assert len(line.checks) == 3
    assert line.next_step
    assert [row.tool for row in bench.tools] == sorted(wanted)


def test_a_newcomer_is_offered_good_first_jobs_and_those_at_work_are_not(cast: Cast) -> None:
    make_card(_engine(cast), cast.member, is_good_first_job=True, with_whom="Anneli", bring="old clothes")
    assert [card.title for card in _bench(cast.stranger).first_jobs] == ["Make a gland nut"]
    assert _bench(cast.member).first_jobs == []
    page = cast.browser("stranger").get("/").text
    assert "old clothes" in page


def test_a_first_job_on_a_private_engine_is_offered_to_nobody_outside(cast: Cast) -> None:
    make_card(make_engine(is_private=True, owner_member=cast.owner), cast.owner, is_good_first_job=True)
    assert _bench(cast.stranger).first_jobs == []


def test_what_was_promised_for_yesterday_is_on_the_bench(cast: Cast) -> None:
    engine, yesterday = _engine(cast), timezone.localdate() - timedelta(days=1)
    make_wanted(engine, cast.member, state="promised", promised_by=yesterday)
    make_card(engine, cast.member, state="waits", waits_for="the casting", waits_until=yesterday)
    bench = _bench(cast.mate)
    assert (len(bench.promised), len(bench.overdue)) == (1, 1)
    assert "Should have come by now" in cast.browser("mate").get("/").text


@pytest.mark.parametrize("who", ["mentor", "inspector", "member"])
def test_the_desk_of_whoever_answers_is_on_the_bench_with_its_count(cast: Cast, who: str) -> None:
    sheet = make_sheet(make_engine(), opened_by=cast.member)
    for action in ("rebush_big_end@left", "watch_parted_pipe_in_hydraulic_test"):
        make_go_ahead(sheet, cast.member, action=action)
    make_step(sheet, cast.member, without_go_ahead=True)
    bench, page = _bench(cast[who]), cast.browser(who).get("/").text
    counts = {"mentor": {"asked for": 1, "done without": 1}, "inspector": {"asked for": 1}, "member": {}}
    assert bench.on_desk == counts[who]
    assert ("To the desk" in page) is (who != "member")
    assert ("1 asked for · 1 done without" in page) is (who == "mentor")
    assert len(bench.to_answer) == counts[who].get("asked for", 0)


def test_what_was_given_and_has_run_out_says_so_on_the_bench_of_whoever_asked(cast: Cast) -> None:
    sheet, now = make_sheet(_engine(cast), opened_by=cast.member), timezone.now()
    made = {"answer": "given", "answered_by": cast.mentor, "answered_at": now - timedelta(days=3)}
    for action, until in (
        ("rebush_big_end@left", now - timedelta(days=1)),
        ("finish_assembly", now + timedelta(days=1)),
    ):
        make_go_ahead(sheet, cast.member, action=action, until=until, **made)
    make_go_ahead(sheet, cast.member, action="run_in", struck_at=now, struck_by=cast.member)
    assert sorted(line.word for line in _bench(cast.member).asked) == ["given", "lapsed"]


def _paper(engine: Engine, days: int, **changes: Any) -> None:
    today = timezone.localdate()
    fields = {"kind": "insurance", "passed_on": today - timedelta(days=400), "by_whom": "the office"}
    lapses = today + timedelta(days=days)
    engine.certificates.create(recorded_by=engine.made_by, lapses_on=lapses, **{**fields, **changes})


def test_the_secretary_is_led_to_the_office_by_what_is_out_and_what_lapses(cast: Cast) -> None:
    out = _engine(cast, name="Heron")
    make_stop(out)
    make_stop(out, cause_class="boiler")
    _paper(out, 12)
    _paper(_engine(cast, name="Rail"), 200)
    office = _bench(cast.secretary).traffic.office
    assert office.out == 1
    assert [(row.paper.engine.name, row.words) for row in office.waiting.papers] == [("Heron", "12 days left")]
    assert "1 out of traffic" in cast.browser("secretary").get("/").text
    assert _bench(cast.member).traffic.office is None


def test_a_paper_that_was_renewed_is_not_about_to_lapse(cast: Cast) -> None:
    engine = _engine(cast)
    _paper(engine, 12)
    _paper(engine, 400)
    _paper(engine, 600, struck_at=NOON)
    assert _bench(cast.secretary).traffic.office.waiting.papers == []


def test_a_lapsed_paper_stays_until_there_is_another(cast: Cast) -> None:
    _paper(_engine(cast), -3)
    assert [row.words for row in _bench(cast.secretary).traffic.office.waiting.papers] == ["lapsed"]


def test_an_open_sheet_stands_under_its_engine_and_such_engines_come_first(cast: Cast) -> None:
    _engine(cast, name="Avocet")
    make_sheet(_engine(cast, name="Heron"), opened_by=cast.member)
    engines = _bench(cast.member).engines
    assert [(line.engine.name, len(sheets)) for line, sheets in engines] == [("Heron", 1), ("Avocet", 0)]


def test_what_waits_for_the_inspector_says_so_to_whoever_asked(cast: Cast) -> None:
    sheet = make_sheet(_engine(cast), opened_by=cast.member)
    make_go_ahead(sheet, cast.member, action="rebush_big_end@left", authority="inspector")
    assert [line.word for line in _bench(cast.member).asked] == ["waits for the inspector"]


def test_the_next_running_day_asks_everybody_whether_they_come(cast: Cast) -> None:
    day = RunningDay.objects.create(on=timezone.localdate() + timedelta(days=21), made_by=cast.secretary)
    assert "say if you come" in cast.browser("stranger").get("/").text
    Attendance.objects.create(day=day, member=cast.stranger, coming="yes")
    said = _bench(cast.stranger).traffic.next_day
    assert said is not None
    assert (said.day, said.coming) == (day, "comes")


def _fill(cast: Cast, name: str) -> None:
    engine = _engine(cast, name=name)
    make_sheet(engine, opened_by=cast.member)
    card = make_card(engine, cast.member)
    card.people.add(cast.member)
    make_part(engine, cast.member)
    make_soak(engine, cast.member)
    for make in (make_entry, make_reading, make_connection, make_tag):
        make(engine, cast.stranger, accepted=False)
    _paper(engine, 10)


@pytest.mark.parametrize("who", ["member", "secretary", "stranger", "mentor"])
def test_ten_engines_cost_no_more_queries_than_one(cast: Cast, who: str) -> None:
    browser, counts = cast.browser(who), []
    for number in range(10):
        _fill(cast, f"Engine {number}")
        browser.get("/")  # whatever is worked out once is worked out now
        if number in (0, 9):
            with CaptureQueriesContext(connection) as queries:
                assert browser.get("/").status_code == 200
            counts.append(len(queries))
    assert counts[0] == counts[1]


def test_my_bench_keeps_the_clubs_day_not_that_of_greenwich(cast: Cast) -> None:
    """Half past midnight on a summer night: it is already the day on which somebody begins on the engine."""
    engine = make_engine(name="Early", hands=())
    make_hand(engine, cast.member, since=date(2026, 7, 2))
    night = datetime(2026, 7, 1, 23, 30, tzinfo=UTC)
    with timezone.override("Europe/London"):
        assert engine in [line.engine for line in my_bench(cast.member, at=night).traffic.engines]
    with timezone.override("UTC"):
        assert not my_bench(cast.member, at=night).traffic.engines
