"""What is printed and left on an engine: the bench pack, and what the next pair of hands must know."""

from datetime import timedelta
from typing import Any

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from restorations.engines.models import Engine
from restorations.home.bench_pack import CHECKS, bench_pack_page
from restorations.home.tonight import tonight_page
from tests.cast import Cast
from tests.factories import make_engine
from tests.faults.builders import make_go_ahead, make_part, make_sheet, make_soak, make_step, see
from tests.home.rows import make_box, make_connection, make_tag

PAGES = ("bench-pack", "tonight")


def _engine(cast: Cast, **changes: Any) -> Engine:
    return make_engine(hands=(cast.member, cast.mate), configuration={"kind": "tank_locomotive"}, **changes)


def _page(cast: Cast, engine: Engine, page: str, who: str = "member") -> str:
    return cast.browser(who).get(f"/engines/{engine.pk}/{page}/").text


def test_tonight_says_what_is_off_and_in_which_box(cast: Cast) -> None:
    engine, box = _engine(cast), make_box(cast.member)
    make_part(engine, cast.member, box="", in_box=box, tray_place=3, orientation="oil cup up", mates="left crankpin")
    page = _page(cast, engine, "tonight", "stranger")
    for words in ("Connecting rod, left side", "box 5, place 3", "oil cup up", "left crankpin"):
        assert words in page


def test_tonight_shows_a_helpers_part_too_for_it_is_off_all_the_same(cast: Cast) -> None:
    engine = _engine(cast)
    make_part(engine, cast.stranger, accepted=False)
    page = _page(cast, engine, "tonight")
    assert "Connecting rod, left side" in page
    assert "not yet accepted" in page


def test_tonight_says_what_soaks_what_is_parted_and_what_the_tags_say(cast: Cast) -> None:
    engine = _engine(cast)
    make_soak(engine, cast.member, place="left", fluid="release oil", due_at=timezone.now() + timedelta(days=2))
    make_connection(engine, cast.member)
    make_tag(engine, cast.member)
    page = _page(cast, engine, "tonight")
    said = ("Left side: release oil", "Vapour that burns", "gland oil pipe", "DO NOT TURN", "the left gland is out")
    for words in said:
        assert words in page


def test_tonight_leaves_out_what_is_over(cast: Cast) -> None:
    engine, now = _engine(cast), timezone.now()
    make_part(engine, cast.member, ended_at=now, ended_by=cast.member, ending="refitted")
    make_soak(engine, cast.member, ended_at=now, ended_by=cast.member)
    make_tag(engine, cast.member, taken_off_at=now, taken_off_by=cast.member)
    page = _page(cast, engine, "tonight")
    assert "Nothing is written down as off." in page
    assert "Nothing soaks." in page
    assert "No tag hangs on it." in page


def test_tonight_carries_go_aheads_with_their_conditions_and_those_still_asked(cast: Cast) -> None:
    engine = _engine(cast)
    sheet, now = make_sheet(engine, opened_by=cast.member), timezone.now()
    given = {"answer": "given", "answered_by": cast.mentor, "answered_at": now, "conditions": "not on your own"}
    make_go_ahead(sheet, cast.member, action="free_rod_in_gland@left", **given)
    make_go_ahead(sheet, cast.mate, action="press_wheel_off", words="Press the wheel off")
    lapsed = {**given, "conditions": "only last week", "until": now - timedelta(days=1)}
    make_go_ahead(sheet, cast.member, action="light_the_fire", **lapsed)
    page = _page(cast, engine, "tonight")
    assert "not on your own" in page
    assert "do not begin it" in page
    assert "only last week" not in page


def test_tonight_names_who_to_ask(cast: Cast) -> None:
    page = _page(cast, _engine(cast), "tonight")
    for name in (cast.member.full_name, cast.mate.full_name, cast.mentor.full_name, cast.mentor2.full_name):
        assert name in page


def test_tonight_puts_the_next_step_that_needs_no_leave_first(cast: Cast) -> None:
    engine = _engine(cast)
    see(make_sheet(engine, opened_by=cast.member), cast.member, "wheels_stiff", 2)
    (reading,) = tonight_page(engine, at=timezone.now())["sheets"]
    assert reading.first is not None
    assert reading.first.may_be_done
    assert reading.first.placed.name in _page(cast, engine, "tonight").replace("&#x27;", "'")


def test_the_bench_pack_prints_at_most_six_checks_each_with_its_answers_to_tick(cast: Cast) -> None:
    engine = _engine(cast)
    sheet = make_sheet(engine, opened_by=cast.member)
    see(sheet, cast.member, "wheels_stiff", 2)
    (item,) = bench_pack_page(engine, at=timezone.now())["sheets"]
    assert 1 <= len(item["checks"]) <= CHECKS
    assert all(check.may_be_done and not check.is_remedy for check in item["checks"])
    page = _page(cast, engine, "bench-pack")
    for check in item["checks"]:
        assert f"/sheets/{sheet.pk}/actions/{check.id}/" in page
    assert page.count('class="to-fill"') == len(item["checks"])
    assert page.count('<ul class="ticks">') == len(item["checks"])
    assert "title-block" in page


def test_a_check_of_the_pack_is_entered_afterwards_with_the_hour_it_was_done(cast: Cast) -> None:
    engine = _engine(cast)
    sheet = make_sheet(engine, opened_by=cast.member)
    see(sheet, cast.member, "wheels_stiff", 2)
    (item,) = bench_pack_page(engine, at=timezone.now())["sheets"]
    form = cast.browser("member").get(f"/sheets/{sheet.pk}/actions/{item['checks'][0].id}/").text
    assert 'name="happened_at"' in form


def test_the_bench_pack_shows_what_was_seen_and_leaves_out_what_was_struck_out(cast: Cast) -> None:
    engine = _engine(cast)
    sheet = make_sheet(engine, opened_by=cast.member)
    make_step(sheet, cast.member, words="Wheels by hand: stiff")
    wrong = make_step(sheet, cast.member, words="Chimney: missing")
    wrong.strike_out(member=cast.member, reason="it is there")
    page = _page(cast, engine, "bench-pack")
    assert "Wheels by hand: stiff" in page
    assert "Chimney: missing" not in page


def test_without_an_open_sheet_both_leaves_still_say_what_lies_where(cast: Cast) -> None:
    engine = _engine(cast)
    make_part(engine, cast.member)
    for page in PAGES:
        assert "Connecting rod, left side" in _page(cast, engine, page)


@pytest.mark.parametrize("page", PAGES)
@pytest.mark.parametrize("who", ["stranger", "secretary", "mentor", "administrator"])
def test_leaves_of_a_private_engine_are_hidden(cast: Cast, page: str, who: str) -> None:
    engine = _engine(cast, is_private=True, owner_member=cast.owner)
    assert cast.browser(who).get(f"/engines/{engine.pk}/{page}/").status_code == 404


@pytest.mark.parametrize("page", PAGES)
def test_ten_times_as_much_on_the_bench_costs_no_more_queries(cast: Cast, page: str) -> None:
    engine, browser, counts = _engine(cast), cast.browser("member"), []
    sheet = make_sheet(engine, opened_by=cast.member)
    for number in range(10):
        make_part(engine, cast.member, component="", place="", name=f"nut {number}")
        make_soak(engine, cast.member)
        make_connection(engine, cast.member)
        make_tag(engine, cast.member)
        make_step(sheet, cast.member)
        browser.get(f"/engines/{engine.pk}/{page}/")
        if number in (0, 9):
            with CaptureQueriesContext(connection) as queries:
                assert browser.get(f"/engines/{engine.pk}/{page}/").status_code == 200
            counts.append(len(queries))
    assert counts[0] == counts[1]


def test_both_are_one_tap_from_the_engines_page(cast: Cast) -> None:
    engine = _engine(cast)
    page = cast.browser("member").get(f"/engines/{engine.pk}/").text
    for name in PAGES:
        assert f'href="/engines/{engine.pk}/{name}/"' in page


def test_tonight_is_one_tap_from_the_sheet(cast: Cast) -> None:
    sheet = make_sheet(_engine(cast), opened_by=cast.member)
    page = cast.browser("member").get(f"/sheets/{sheet.pk}/").text
    assert f'href="/engines/{sheet.engine_id}/tonight/"' in page
