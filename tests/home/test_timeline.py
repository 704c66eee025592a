"""The timeline: everything in one list, newest first, of an engine, a person, the club."""

import re
from datetime import timedelta
from typing import Any

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from restorations.engines.models import Engine
from restorations.home.timeline import A_PAGE, Cursor, Scope, read_timeline
from restorations.home.timeline_kinds import KINDS, SOURCES, Filter
from restorations.tasks.models import DayBookEntry
from tests.cast import Cast
from tests.factories import NOON, make_engine
from tests.faults.builders import make_part, make_sheet, make_step
from tests.home.rows import furnish, make_card, make_entry, make_soak


def _scope(engine: Engine) -> Scope:
    return Scope(Engine.objects.filter(pk=engine.pk))


def _words(scope: Scope, **chosen: str) -> list[str]:
    return [line.words for line in read_timeline(scope, Filter(**chosen)).lines]


def test_every_kind_of_row_has_its_line_and_a_page_it_leads_to(cast: Cast) -> None:
    engine = make_engine(hands=(cast.member,))
    furnish(engine, cast.member)
    timeline = read_timeline(_scope(engine), Filter())
    said = {line.what for line in timeline.lines}
    assert said >= {
        "Day book", "Reading", "Card written", "Fault sheet", "Fault sheet opened", "Came off", "Refitted", "Parted",
        "Joined", "Soak begun", "Soak over", "Tried to free it", "Tag put on", "Tag taken off", "Paper recorded",
        "Before it came",
    }  # fmt: skip
    browser = cast.browser("member")
    dead = {line.href for line in timeline.lines if browser.get(line.href).status_code != 200}
    assert dead == set()


def test_the_newest_stands_first(cast: Cast) -> None:
    engine = make_engine()
    for hour in (2, 0, 1):
        make_entry(engine, cast.member, text=f"hour {hour}", happened_at=NOON + timedelta(hours=hour))
    make_card(engine, cast.member, title="between", made_at=NOON + timedelta(minutes=90))
    assert _words(_scope(engine)) == ["hour 2", "between", "hour 1", "hour 0"]


def test_a_date_that_is_only_about_is_shown_as_such(cast: Cast) -> None:
    engine = make_engine()
    engine.past_work.create(
        text="repainted", happened_at=NOON.replace(year=1987), happened_precision="about",
        done_by_name="a former owner", recorded_by=cast.member,
    )  # fmt: skip
    page = cast.browser("member").get(f"/engines/{engine.pk}/timeline/").text
    assert "about 1987" in page
    assert "a former owner" in page


def test_pages_follow_each_other_without_a_gap_or_a_line_twice(cast: Cast) -> None:
    """Many rows of several kinds at one and the same moment are the hard case."""
    engine = make_engine()
    for number in range(A_PAGE):
        make_entry(engine, cast.member, text=f"entry {number}")
        make_card(engine, cast.member, title=f"card {number}")
        make_entry(engine, cast.member, text=f"later {number}", happened_at=NOON + timedelta(minutes=number))
    seen: list[str] = []
    older, pages = "", 0
    while pages == 0 or older:
        page = read_timeline(_scope(engine), Filter(), before=older)
        seen += [line.words for line in page.lines]
        older, pages = page.older, pages + 1
    assert len(seen) == len(set(seen)) == 3 * A_PAGE
    assert pages == 3


@pytest.mark.parametrize(
    "typed",
    ["yesterday", "2026-11-20T12:00:00+00:00", "2026-11-20T12:00:00~1~2", "2026-11-20T12:00:00+00:00~x~2",
     "2026-11-20T12:00:00+00:00~1~" + "9" * 40, "~~", "\x00"],
)  # fmt: skip
def test_a_mangled_address_of_a_page_is_the_first_page(cast: Cast, typed: str) -> None:
    engine = make_engine()
    make_entry(engine, cast.member)
    page = cast.browser("member").get(f"/engines/{engine.pk}/timeline/", {"before": typed})
    assert page.status_code == 200
    assert "Repacked the left gland" in page.text


def test_a_cursor_reads_back_as_it_was_written() -> None:
    cursor = Cursor(NOON, 3, 17)
    assert Cursor.read(str(cursor)) == cursor


def test_kinds_can_be_seen_alone(cast: Cast) -> None:
    engine = make_engine()
    furnish(engine, cast.member)
    for kind in KINDS:
        mine = {line.what for line in read_timeline(_scope(engine), Filter(kind=kind)).lines}
        assert mine, kind
    assert _words(_scope(engine), kind="cards") == ["Make a gland nut"]


def test_a_side_leaves_out_what_stands_on_the_other(cast: Cast) -> None:
    engine = make_engine()
    for side in ("left", "right"):
        make_entry(engine, cast.member, text=f"entry {side}", side=side)
        make_part(engine, cast.member, place=side)
        make_soak(engine, cast.member, place=side, fluid=f"oil {side}")
        sheet = make_sheet(engine, opened_by=cast.member)
        make_step(sheet, cast.member, words=f"step {side}", finding=f"crosshead_tight@{side}")
    found = " ".join(_words(_scope(engine), side="left"))
    assert all(words in found for words in ("entry left", "Connecting rod, left", "oil left", "step left"))
    assert "right" not in found


def test_a_system_finds_entries_cards_and_steps_of_it(cast: Cast) -> None:
    engine = make_engine()
    make_entry(engine, cast.member, text="oiled the rods", system="motion")
    make_entry(engine, cast.member, text="lapped the valve", system="valve_gear")
    make_card(engine, cast.member, title="true the wheels", system="motion")
    sheet = make_sheet(engine, opened_by=cast.member)
    make_step(sheet, cast.member, words="turned by hand", finding="wheels_stiff", action="turn_wheels_both_rods_off")
    assert set(_words(_scope(engine), system="motion")) == {"oiled the rods", "true the wheels", "turned by hand"}


def test_the_page_says_what_a_filter_leaves_out(cast: Cast) -> None:
    engine = make_engine()
    page = cast.browser("member").get(f"/engines/{engine.pk}/timeline/", {"system": "motion"}).text
    assert "Not filed so, and left out: readings" in page


def test_a_filter_that_does_not_exist_shows_everything_and_an_error(cast: Cast) -> None:
    engine = make_engine()
    make_entry(engine, cast.member)
    page = cast.browser("member").get(f"/engines/{engine.pk}/timeline/", {"kind": "gossip"})
    assert page.status_code == 200
    assert "Repacked the left gland" in page.text


def test_struck_out_lines_are_left_to_their_own_pages(cast: Cast) -> None:
    engine = make_engine()
    entry = make_entry(engine, cast.member)
    entry.strike_out(member=cast.member, reason="wrong engine", at=NOON)
    assert _words(_scope(engine)) == []


def test_a_helpers_line_says_that_it_waits(cast: Cast) -> None:
    engine = make_engine(hands=(cast.member,))
    make_entry(engine, cast.stranger, accepted=False)
    assert "waits to be accepted" in cast.browser("member").get(f"/engines/{engine.pk}/timeline/").text


def test_a_persons_timeline_holds_what_they_did_or_helped_with_and_nothing_else(cast: Cast) -> None:
    engine = make_engine()
    make_entry(engine, cast.member, text="by member")
    helped: DayBookEntry = make_entry(engine, cast.mate, text="helped by member")
    helped.helpers.add(cast.member)
    make_entry(engine, cast.mate, text="by mate alone")
    page = cast.browser("stranger").get(f"/people/{cast.member.pk}/timeline/").text
    assert "by member" in page
    assert "helped by member" in page
    assert "by mate alone" not in page


@pytest.mark.parametrize("who", ["stranger", "secretary", "administrator", "mentor"])
def test_what_happened_on_a_private_engine_shows_to_nobody_who_may_not_read_it(cast: Cast, who: str) -> None:
    private = make_engine(name="Dot", is_private=True, owner_member=cast.owner, hands=(cast.member,))
    furnish(private, cast.member)
    browser = cast.browser(who)
    assert browser.get(f"/engines/{private.pk}/timeline/").status_code == 404
    for address in ("/timeline/", f"/people/{cast.member.pk}/timeline/"):
        page = browser.get(address).text
        assert "gland" not in page
        assert "Dot" not in page


def test_the_hands_of_a_private_engine_see_it_in_the_clubs_timeline(cast: Cast) -> None:
    private = make_engine(name="Dot", is_private=True, owner_member=cast.owner, hands=(cast.member,))
    furnish(private, cast.member)
    assert "Repacked the left gland" in cast.browser("member").get("/timeline/").text


def _queries(cast: Cast, address: str) -> int:
    browser = cast.browser("member")
    with CaptureQueriesContext(connection) as queries:
        assert browser.get(address).status_code == 200
    return len(queries)


@pytest.mark.parametrize("address", ["/engines/{engine}/timeline/", "/people/{member}/timeline/", "/timeline/"])
def test_ten_times_as_much_costs_no_more_queries(cast: Cast, address: str) -> None:
    engine = make_engine(hands=(cast.member,))
    furnish(engine, cast.member)
    at = address.format(engine=engine.pk, member=cast.member.pk)
    one = _queries(cast, at)
    for minutes in range(1, 10):
        furnish(engine, cast.member, minutes=minutes)
    assert _queries(cast, at) == one
    assert one < len(SOURCES) + 10


def test_the_fragment_is_the_list_alone(cast: Cast) -> None:
    engine = make_engine()
    fragment: Any = cast.browser("member").get(f"/engines/{engine.pk}/timeline/", headers={"hx-request": "true"})
    assert re.match(r'\s*<div id="timeline">', fragment.text)
