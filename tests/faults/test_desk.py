"""The desk: what waits for whom and in which order, with all a decision needs; never one's own."""

from collections.abc import Sequence
from datetime import timedelta
from typing import Any
from uuid import uuid4

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from restorations.engines.models import Engine
from restorations.faults import services
from restorations.faults.desk import Desk
from restorations.faults.models import GoAhead, Step
from restorations.members.doing import Doing
from restorations.members.models import CompetentPerson, Member, Message
from tests.cast import Cast
from tests.factories import LONG_AGO, NOON, make_guest, make_hand
from tests.faults.builders import bench_engine, bench_sheet, do, make_go_ahead, make_sheet, make_step
from tests.faults.sent import page_of, post
from tests.home.rows import make_entry
from tests.photos.builders import make_photo

HAND, BOILER = "rebush_big_end@middle", "wash_out_boiler"
INSPECTORS = "watch_parted_pipe_in_hydraulic_test"


def _on_desk(member: Member, *, at: Any = None) -> list[GoAhead]:
    return list(Desk.of(member, at=at or timezone.now()).requests())


def _page(cast: Cast, who: str = "mentor", query: str = "") -> str:
    return str(cast.browser(who).get(f"/desk/{query}").text)


# Whose it is


def test_each_finds_what_is_theirs_to_answer(cast: Cast) -> None:
    sheet = make_sheet(bench_engine(cast, hands=()), opened_by=cast.owner)
    rows = {action: make_go_ahead(sheet, cast.owner, action=action) for action in (HAND, BOILER, INSPECTORS)}
    assert set(_on_desk(cast.mentor)) == {rows[HAND], rows[BOILER]}
    assert set(_on_desk(cast.inspector)) == {rows[BOILER], rows[INSPECTORS]}
    assert _on_desk(cast.secretary) == []


def test_nobody_finds_their_own_nor_what_is_withdrawn_answered_or_on_a_closed_sheet(cast: Cast) -> None:
    sheet, closed = bench_sheet(cast), bench_sheet(cast)
    type(closed).objects.filter(pk=closed.pk).update(closed_at=timezone.now())
    make_go_ahead(closed, cast.member, action=HAND)
    own = make_go_ahead(sheet, cast.mentor, action=HAND)
    withdrawn = make_go_ahead(sheet, cast.member, action="finish_assembly")
    withdrawn.strike_out(member=cast.member, reason="found another way")
    assert _on_desk(cast.mentor) == []
    assert _on_desk(cast.mentor2) == [own]


@pytest.mark.parametrize("tie", ["owner", "hands", "steps", "day book", "helped"])
def test_nobody_answers_for_a_boiler_that_is_theirs_or_that_they_worked_on(cast: Cast, tie: str) -> None:
    near = {"owner": {"owner_member": cast.inspector}, "hands": {"hands": (cast.inspector,)}}
    engine = bench_engine(cast, **near.get(tie, {}))
    sheet = make_sheet(engine, opened_by=cast.member)
    if tie == "steps":
        make_step(sheet, cast.inspector, kind="remedy", is_of_boiler=True, finding="", level=None, causes=["x"])
    if tie in ("day book", "helped"):
        entry = make_entry(engine, cast.mate if tie == "helped" else cast.inspector, system="boiler")
        entry.helpers.set([cast.inspector] if tie == "helped" else [])
    row = make_go_ahead(sheet, cast.mate, action=INSPECTORS)
    assert _on_desk(cast.inspector) == []
    assert post(cast, "inspector", f"/go-aheads/{row.pk}/", answer="given").status_code == 403


def test_the_competent_person_answers_for_engine_work_alone(cast: Cast) -> None:
    Member.objects.filter(pk=cast.mentor2.pk).update(is_mentor=False)
    today = timezone.localdate()
    CompetentPerson.objects.create(
        member=cast.stranger, from_on=today, until_on=today, why="a fitter", named_by=cast.administrator
    )
    sheet = make_sheet(bench_engine(cast), opened_by=cast.member)
    rows = [make_go_ahead(sheet, cast.mentor, action=action) for action in (HAND, BOILER, INSPECTORS)]
    assert _on_desk(cast.stranger) == rows[:1]
    answers = [post(cast, "stranger", f"/go-aheads/{row.pk}/", answer="given").status_code for row in rows]
    assert answers == [302, 403, 403]


def test_of_a_private_engine_only_a_mentor_who_was_invited_finds_it(cast: Cast) -> None:
    engine = bench_engine(cast, is_private=True)
    make_go_ahead(make_sheet(engine, opened_by=cast.member), cast.member, action=HAND)
    assert _on_desk(cast.mentor) == []
    make_guest(engine, cast.mentor)
    assert len(_on_desk(cast.mentor)) == 1


def test_whoever_has_nothing_waiting_reads_so_and_a_member_has_no_desk(cast: Cast) -> None:
    assert "Nothing waits for you" in _page(cast)
    assert "<h1>Inspector&#x27;s desk</h1>" in _page(cast, "inspector")
    assert cast.browser("member").get("/desk/").status_code == 403


# In which order


def test_what_waited_a_week_comes_first_then_what_can_hurt_then_what_can_harm(cast: Cast) -> None:
    sheet, now = bench_sheet(cast), timezone.now()
    asked = {
        "fresh, can hurt": ("a", 2, 0, 1), "fresh, can ruin": ("b", 0, 3, 2), "fresh, mild": ("c", 0, 1, 6),
        "old, mild": ("d", 0, 1, 8), "older, mild": ("e", 0, 0, 30),
    }  # fmt: skip
    for words, (action, person, engine, days) in asked.items():
        make_go_ahead(
            sheet, cast.member, action=action, words=words, risk_person=person, risk_engine=engine,
            asked_at=now - timedelta(days=days),
        )  # fmt: skip
    assert [row.words for row in _on_desk(cast.mentor, at=now)] == [
        "older, mild", "old, mild", "fresh, can hurt", "fresh, can ruin", "fresh, mild",
    ]  # fmt: skip


def test_five_to_a_page_and_the_rest_on_the_next(cast: Cast) -> None:
    sheet = bench_sheet(cast)
    for number in range(7):
        make_go_ahead(sheet, cast.member, action=f"step{number}", words=f"Step number {number}")
    first, second = _page(cast), _page(cast, query="?page=2")
    assert "Page 1 of 2" in first
    assert "Step number 4" in first
    assert "Step number 5" not in first
    assert "Step number 6" in second


# What it shows


def test_it_shows_all_that_a_decision_needs(cast: Cast) -> None:
    sheet = bench_sheet(cast)
    step = make_step(sheet, cast.member, words="Wheels stiff: will not turn")
    photo = make_photo(sheet.engine, cast.member)
    step.photos.add(photo)
    make_go_ahead(sheet, cast.member, action="restore_bore@middle", reason="Scored its whole length.")
    page = _page(cast)
    for words in (
        "Scored its whole length.", "cannot be undone", "the engine can be ruined", "Needs the owner&#x27;s consent",
        "To come off first", "How it is done", "<b>Care.</b>", "Wheels stiff: will not turn", photo.get_absolute_url(),
    ):  # fmt: skip
        assert words in page, words


def test_a_step_the_engine_has_no_more_can_be_refused_and_not_given(cast: Cast) -> None:
    row = make_go_ahead(bench_sheet(cast), cast.member, action="rebush_big_end@left", words="Rebush the left big end")
    assert "It has no such step any more" in _page(cast)
    response = post(cast, "mentor", f"/go-aheads/{row.pk}/", answer="given")
    assert response.status_code == 422
    assert "no such step any more" in response.content.decode()
    assert post(cast, "mentor", f"/go-aheads/{row.pk}/", answer="refused", conditions="Ask anew.").status_code == 302


@pytest.mark.parametrize("who", ["mentor", "inspector"])
def test_ten_of_each_cost_no_more_queries_than_one(cast: Cast, who: str) -> None:
    browser, counts = cast.browser(who), []
    for number in range(5):
        engine = bench_engine(cast, name=f"Engine {number}", hands=())
        sheet = make_sheet(engine, opened_by=cast.owner)
        for action in (HAND, BOILER):
            make_go_ahead(sheet, cast.owner, action=action)
        for of_boiler in (True, False):
            step = make_step(sheet, cast.owner, without_go_ahead=True, is_of_boiler=of_boiler)
            step.photos.add(make_photo(engine, cast.owner))
        services.ask_mentors(sheet=sheet, words="How?", doing=Doing(cast.stranger, NOON), mark=uuid4())
        browser.get("/desk/")  # whatever is worked out once is worked out now
        if number in (0, 4):
            with CaptureQueriesContext(connection) as queries:
                assert browser.get("/desk/").status_code == 200
            counts.append(len(queries))
    assert counts[0] == counts[1]


# Deciding


def test_a_decision_made_at_the_desk_leads_back_to_it(cast: Cast) -> None:
    row = make_go_ahead(bench_sheet(cast), cast.member, action=HAND)
    response = post(cast, "mentor", f"/go-aheads/{row.pk}/", answer="given", lasts="evening", back="desk")
    assert response["Location"] == "/desk/"
    row.refresh_from_db()
    assert row.until is not None
    assert timezone.localtime(row.until).date() == timezone.localdate()


def test_lines_added_since_the_form_was_opened_are_read_before_anything_is_allowed(cast: Cast) -> None:
    sheet = bench_sheet(cast)
    row = make_go_ahead(sheet, cast.member, action=HAND)
    make_step(sheet, cast.mate, words="Big end: cracked")
    old_form = {"answer": "given", "seen": "0", "conditions": "Not alone."}
    response = post(cast, "mentor", f"/go-aheads/{row.pk}/", **old_form)
    assert response.status_code == 409
    page = response.content.decode()
    assert "The sheet has new lines since you opened this: “Big end: cracked”" in page
    assert "Not alone.</textarea>" in page
    assert 'name="seen" value="1"' in page
    assert post(cast, "mentor", f"/go-aheads/{row.pk}/", **{**old_form, "seen": "1"}).status_code == 302
    refused = {"answer": "refused", "seen": "0", "conditions": "It is cracked."}
    other = make_go_ahead(sheet, cast.member, action="finish_assembly")
    assert post(cast, "mentor", f"/go-aheads/{other.pk}/", **refused).status_code == 302


def test_what_was_withdrawn_meanwhile_is_not_answered_and_what_was_typed_is_given_back(cast: Cast) -> None:
    row = make_go_ahead(bench_sheet(cast), cast.member, action=HAND)
    assert post(cast, "member", f"/go-aheads/{row.pk}/withdraw/", reason="found another way").status_code == 302
    response = post(cast, "mentor", f"/go-aheads/{row.pk}/", answer="given", conditions="Not alone.")
    assert response.status_code == 409
    assert "Anneli Thwaite has withdrawn this meanwhile: found another way" in response.content.decode()
    assert "Not alone.</textarea>" in response.content.decode()


def test_on_a_closed_sheet_nothing_is_decided(cast: Cast) -> None:
    row = make_go_ahead(bench_sheet(cast), cast.member, action=HAND)
    type(row.sheet).objects.filter(pk=row.sheet_id).update(closed_at=timezone.now())
    response = post(cast, "mentor", f"/go-aheads/{row.pk}/", answer="given")
    assert response.status_code == 409
    assert "This sheet was closed" in response.content.decode()


def test_a_mentor_takes_a_go_ahead_back_with_a_reason_and_it_holds_no_more(cast: Cast) -> None:
    sheet = bench_sheet(cast)
    made = {"answer": "given", "answered_by": cast.mentor, "answered_at": NOON}
    row = make_go_ahead(sheet, cast.member, action=HAND, **made)
    assert not do(sheet, cast.member, HAND, "done", taken_off=("connecting_rod@middle",)).without_go_ahead
    assert post(cast, "mentor2", f"/go-aheads/{row.pk}/withdraw/", reason="the casting is cracked").status_code == 302
    assert "the casting is cracked" in Message.objects.get(to=cast.member).body
    assert do(sheet, cast.member, HAND, "done").without_go_ahead


# Done without


def _without(cast: Cast, by: str = "member", **fields: Any) -> Step:
    return make_step(bench_sheet(cast), cast[by], without_go_ahead=True, **fields)


def _to_look_at(member: Member) -> Sequence[Step]:
    return list(Desk.of(member, at=timezone.now()).looks())


def test_what_was_done_without_waits_for_another_mentor_until_one_has_looked(cast: Cast) -> None:
    step = _without(cast, "mentor")
    assert services.unlooked(step.sheet).get() == step
    assert (_to_look_at(cast.mentor), _to_look_at(cast.mentor2)) == ([], [step])
    assert post(cast, "mentor", f"/steps/{step.pk}/look/").status_code == 403
    assert post(cast, "mentor2", f"/steps/{step.pk}/look/", back="desk")["Location"] == "/desk/"
    step.refresh_from_db()
    assert step.looked_by == cast.mentor2
    assert not services.unlooked(step.sheet).exists()


def test_nobody_looks_at_what_was_done_without_on_a_boiler_they_work_on(cast: Cast) -> None:
    step = _without(cast, "member", is_of_boiler=True)
    make_hand(step.sheet.engine, cast.mentor)
    assert (_to_look_at(cast.mentor), _to_look_at(cast.inspector)) == ([], [step])
    assert post(cast, "mentor", f"/steps/{step.pk}/look/").status_code == 403
    assert f"/steps/{step.pk}/look/" not in page_of(cast, step.sheet, "mentor")


def test_boiler_work_done_without_is_for_mentors_and_the_inspector_to_look_at(cast: Cast) -> None:
    step = _without(cast, is_of_boiler=True)
    assert _to_look_at(cast.inspector) == [step]
    assert _without(cast) not in _to_look_at(cast.inspector)


@pytest.mark.parametrize(
    ("change", "words"),
    [("looked", "Philippa Oxenhope has looked at it already."), ("struck", "This line was struck out meanwhile")],
)
def test_looking_too_late_is_said_in_words_where_it_was_tapped(cast: Cast, change: str, words: str) -> None:
    step = _without(cast)
    if change == "looked":
        Step.objects.filter(pk=step.pk).update(looked_by=cast.mentor2, looked_at=NOON)
    else:
        step.strike_out(member=cast.member, reason="wrong sheet")
    for back in ("desk", ""):
        response = post(cast, "mentor", f"/steps/{step.pk}/look/", back=back)
        assert response.status_code == 409
        assert words in response.content.decode()


# Told


def _told() -> list[str]:
    return sorted(message.to.sign_in_name for message in Message.objects.all())


@pytest.mark.parametrize(
    ("action", "asker", "told"),
    [
        (HAND, "member", ["mentor", "mentor2"]),
        (HAND, "mentor", ["mentor2"]),
        (INSPECTORS, "member", ["inspector"]),
        (BOILER, "member", ["inspector", "mentor", "mentor2"]),
    ],
)
def test_a_request_is_told_once_to_whoever_may_answer_it(cast: Cast, action: str, asker: str, told: list[str]) -> None:
    engine = bench_engine(cast, configuration={"kind": "tank_locomotive"}, hands=(cast.member, cast.mate))
    sheet = make_sheet(engine, opened_by=cast.member)
    action = "rebush_big_end@left" if action == HAND else action
    mark = str(uuid4())
    for _ in range(2):
        post(cast, asker, f"/sheets/{sheet.pk}/ask/", action=action, reason="It knocks.", submission=mark)
    assert post(cast, "mate", f"/sheets/{sheet.pk}/ask/", action=action).status_code == 302  # it waits already
    assert _told() == told


def test_of_a_private_engine_only_those_near_it_hear_of_a_request(cast: Cast) -> None:
    engine: Engine = bench_engine(cast, is_private=True)
    make_guest(engine, cast.mentor)
    make_guest(engine, cast.mentor2, until=LONG_AGO)
    post(cast, "member", f"/sheets/{make_sheet(engine, opened_by=cast.member).pk}/ask/", action=HAND)
    assert _told() == ["mentor"]
