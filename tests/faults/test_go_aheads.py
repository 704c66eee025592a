"""Go-aheads for risky steps: asked, given or refused, kept to, lapsed; what was done without one is told."""

from datetime import datetime, timedelta
from typing import Any
from uuid import uuid4

import pytest
from django.utils import timezone
from django.utils.html import escape

from restorations.faults.models import FaultSheet, GoAhead
from restorations.faults.page import read_page
from restorations.faults.proposals import propose
from restorations.faults.services.sheets import ground_of
from restorations.members.models import Act, Message
from tests.cast import Cast
from tests.engines.sent import error_beside, once
from tests.factories import LONG_AGO, NOON, make_guest, make_hand
from tests.faults.builders import bench_engine, bench_sheet, do, make_go_ahead, make_sheet
from tests.faults.sent import answer, page_of, post, trouble

RISKY, PLAIN = "rebush_big_end@middle", "ease_piston_gland@middle"


def _ask(cast: Cast, sheet: FaultSheet, who: str = "member", **data: Any) -> Any:
    return post(cast, who, f"/sheets/{sheet.pk}/ask/", **{"action": RISKY, "reason": "It knocks.", **data})


def _say(cast: Cast, row: GoAhead, said: str, who: str = "mentor", **data: Any) -> Any:
    return post(cast, who, f"/go-aheads/{row.pk}/", answer=said, **data)


def _given(sheet: FaultSheet, by: Any, to: Any, **changes: Any) -> GoAhead:
    plain = {"answer": "given", "answered_by": by, "answered_at": NOON, "until": NOON + timedelta(days=14)}
    return make_go_ahead(sheet, to, **{"action": RISKY, **plain, **changes})


def _told() -> set[str]:
    return {message.to.sign_in_name for message in Message.objects.all()}


# Asking


def test_a_risky_step_offers_to_ask_and_a_plain_one_does_not(cast: Cast) -> None:
    sheet, browser = bench_sheet(cast), cast.browser("member")
    risky = browser.get(f"/sheets/{sheet.pk}/actions/{RISKY}/").text
    assert "Ask for a go-ahead" in risky
    assert "It has been done already" in risky
    assert "Ask for a go-ahead" not in browser.get(f"/sheets/{sheet.pk}/actions/{PLAIN}/").text


def test_a_hand_asks_and_the_page_says_that_it_waits(cast: Cast) -> None:
    sheet = bench_sheet(cast)
    assert _ask(cast, sheet).status_code == 302
    row = GoAhead.objects.get()
    assert (row.sheet, row.action, row.asked_by, row.answer, row.reason) == (
        sheet,
        RISKY,
        cast.member,
        "",
        "It knocks.",
    )
    assert Act.objects.about(row).get().verb == "asked for a go-ahead"
    assert "waits for a mentor" in page_of(cast, sheet)
    assert "asked; waits for a mentor" in cast.browser("member").get(f"/sheets/{sheet.pk}/actions/{RISKY}/").text


def test_it_is_asked_once_while_it_waits_and_again_after_a_refusal(cast: Cast) -> None:
    sheet = bench_sheet(cast)
    for who in ("member", "mate", "member"):
        assert _ask(cast, sheet, who).status_code == 302
    row = GoAhead.objects.get()
    _say(cast, row, "refused", conditions="Rods off first.")
    _ask(cast, sheet)
    assert GoAhead.objects.count() == 2


def test_the_same_form_twice_asks_once(cast: Cast) -> None:
    sheet, mark = bench_sheet(cast), str(uuid4())
    row = _given(sheet, cast.mentor, cast.member)
    for _ in range(2):
        assert _ask(cast, sheet, submission=mark).status_code == 302
    assert GoAhead.objects.exclude(pk=row.pk).count() == 1


@pytest.mark.parametrize("who", ["stranger", "secretary", "inspector", "administrator"])
def test_a_helper_does_no_risky_step_and_asks_for_none(cast: Cast, who: str) -> None:
    assert _ask(cast, bench_sheet(cast), who).status_code == 403
    assert not GoAhead.objects.exists()


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"action": "no_such_step"}, "no such step"),
        ({"action": "rebush_big_end@left"}, "no such step"),
        ({"action": PLAIN}, "needs no go-ahead"),
        ({"action": ""}, "required"),
        ({"action": "x" * 121}, "at most 120"),
        ({"reason": "x" * 2001}, "at most 2000"),
        ({"reason": "\x00"}, "Null characters"),
    ],
)
def test_asking_wrongly_is_refused_in_words(cast: Cast, changes: dict[str, str], words: str) -> None:
    response = _ask(cast, bench_sheet(cast), **changes)
    assert response.status_code == 422
    assert words in trouble(response)
    assert not GoAhead.objects.exists()


# Answering


def test_a_mentor_says_yes_with_conditions_and_whoever_asked_is_told(cast: Cast) -> None:
    sheet = bench_sheet(cast)
    row = make_go_ahead(sheet, cast.member, action=RISKY)
    assert "answer it" in page_of(cast, sheet, "mentor")
    assert _say(cast, row, "given", conditions="Not alone.").status_code == 302
    row.refresh_from_db()
    assert (row.answer, row.answered_by, row.conditions) == ("given", cast.mentor, "Not alone.")
    message = Message.objects.get()
    assert message.to == cast.member
    assert "Not alone." in message.body
    assert "Not alone." in page_of(cast, sheet)


def test_a_go_ahead_opens_the_gate_for_that_step_alone(cast: Cast) -> None:
    sheet = bench_sheet(cast)
    _say(cast, make_go_ahead(sheet, cast.member, action=RISKY), "given")
    page = cast.browser("member").get(f"/sheets/{sheet.pk}/actions/{RISKY}/").text
    assert "Ask for a go-ahead" not in page
    assert 'name="answer" value="done"' in page
    assert "Ask for a go-ahead" in cast.browser("member").get(f"/sheets/{sheet.pk}/actions/finish_assembly/").text


def test_a_refusal_says_why(cast: Cast) -> None:
    sheet = bench_sheet(cast)
    row = make_go_ahead(sheet, cast.member, action=RISKY)
    response = _say(cast, row, "refused")
    assert response.status_code == 422
    assert "Say why not" in error_beside(response.content.decode(), "conditions")
    assert _say(cast, row, "refused", conditions="Measure it first.").status_code == 302
    assert "Measure it first." in page_of(cast, sheet)
    assert "refused" in Message.objects.get().subject


def test_nobody_answers_what_they_asked_for_themselves(cast: Cast) -> None:
    row = make_go_ahead(bench_sheet(cast), cast.mentor, action=RISKY)
    assert _say(cast, row, "given").status_code == 403
    assert "Your answer" not in cast.browser("mentor").get(f"/go-aheads/{row.pk}/").text
    assert _say(cast, row, "given", who="mentor2").status_code == 302


@pytest.mark.parametrize("who", ["member", "mate", "owner", "secretary", "inspector", "stranger"])
def test_only_a_mentor_answers(cast: Cast, who: str) -> None:
    row = make_go_ahead(bench_sheet(cast), cast.member, action=RISKY)
    assert _say(cast, row, "given", who=who).status_code == 403
    row.refresh_from_db()
    assert row.answer == ""


def test_the_second_mentor_is_told_what_the_first_one_said(cast: Cast) -> None:
    row = make_go_ahead(bench_sheet(cast), cast.member, action=RISKY)
    _say(cast, row, "refused", conditions="Rods off first.")
    response = _say(cast, row, "given", who="mentor2")
    assert response.status_code == 409
    assert f"{cast.mentor} has answered meanwhile: refused." in response.content.decode()
    row.refresh_from_db()
    assert (row.answer, row.answered_by) == ("refused", cast.mentor)
    assert Message.objects.count() == 1


def test_the_same_answer_sent_twice_is_given_once(cast: Cast) -> None:
    row, mark = make_go_ahead(bench_sheet(cast), cast.member, action=RISKY), str(uuid4())
    for _ in range(2):
        assert _say(cast, row, "given", submission=mark).status_code == 302
    assert Message.objects.count() == 1


@pytest.mark.parametrize(
    ("changes", "field", "words"),
    [
        ({"until": "2020-01-01"}, "until", "past"),
        ({"until": "2998-12-31"}, "until", "a year at the most"),
        ({"until": "soon"}, "until", "valid date"),
        ({"conditions": "x" * 2001}, "conditions", "at most 2000"),
        ({"conditions": "a\x00"}, "conditions", "Null characters"),
        ({"answer": "perhaps"}, "", ""),
        ({"answer": ""}, "", ""),
    ],
)
def test_what_is_wrong_with_an_answer_is_said(cast: Cast, changes: dict[str, str], field: str, words: str) -> None:
    row = make_go_ahead(bench_sheet(cast), cast.member, action=RISKY)
    response = cast.browser("mentor").post(f"/go-aheads/{row.pk}/", once(**{"answer": "given", **changes}))
    assert response.status_code == 422
    if field:
        assert words in error_beside(response.text, field)
    row.refresh_from_db()
    assert row.answer == ""


def test_html_in_conditions_is_shown_as_text(cast: Cast) -> None:
    sheet = bench_sheet(cast)
    _say(cast, make_go_ahead(sheet, cast.member, action=RISKY), "given", conditions="<b>gently</b> 🪛")
    assert "&lt;b&gt;gently&lt;/b&gt; 🪛" in page_of(cast, sheet)


def test_a_go_ahead_holds_to_the_end_of_its_day_and_a_fortnight_where_no_day_is_said(cast: Cast) -> None:
    sheet, today = bench_sheet(cast), timezone.localdate()
    dated, undated = (make_go_ahead(sheet, cast.member, action=action) for action in (RISKY, "finish_assembly"))
    _say(cast, dated, "given", until=today.isoformat())
    _say(cast, undated, "given")
    dated.refresh_from_db()
    undated.refresh_from_db()
    assert timezone.localtime(dated.until).date() == today
    assert dated in GoAhead.objects.in_force(timezone.now())
    assert timezone.localtime(undated.until).date() == today + timedelta(days=14)


# Keeping to it


def _permission(sheet: FaultSheet, at: datetime) -> bool:
    """Whether the step still wants a mentor's word."""
    from restorations.faults.facts import engine_facts

    ground = ground_of(sheet, at=at)
    facts = engine_facts(sheet, ground.bench, ground.steps, expanded=ground.expanded, at=at)
    return propose(ground.expanded, RISKY, facts, ground.bench).permission is not None


def test_a_go_ahead_lapses_at_its_end(cast: Cast) -> None:
    sheet = bench_sheet(cast)
    row = _given(sheet, cast.mentor, cast.member)
    assert row.until is not None
    assert _permission(sheet, NOON - timedelta(minutes=1))
    assert not _permission(sheet, row.until - timedelta(minutes=1))
    assert _permission(sheet, row.until)


def test_a_step_under_a_go_ahead_names_it_and_is_not_marked(cast: Cast) -> None:
    sheet = bench_sheet(cast)
    row = _given(sheet, cast.mentor, cast.member)
    step = do(sheet, cast.member, RISKY, "done", taken_off=("connecting_rod@middle",))
    assert (step.go_ahead, step.without_go_ahead, step.done_although) == (row, False, "")
    assert not Message.objects.exists()


def test_without_a_go_ahead_it_is_recorded_marked_and_the_mentors_are_told(cast: Cast) -> None:
    sheet = bench_sheet(cast)
    assert answer(cast, sheet, RISKY, "done").status_code == 302
    step = sheet.steps.get()
    assert (step.kind, step.without_go_ahead, step.go_ahead) == ("remedy", True, None)
    assert "Needs a mentor's go-ahead" in step.done_although
    assert _told() == {"mentor", "mentor2"}
    assert "without a go-ahead" in Message.objects.first().subject
    page = page_of(cast, sheet)
    assert "without go-ahead" in page
    assert escape(step.done_although) in page


@pytest.mark.parametrize(
    ("changes", "marked"),
    [
        ({"until": NOON}, True),
        ({"until": None}, False),
        ({"answer": "refused"}, True),
        ({"answered_at": NOON + timedelta(hours=1)}, True),
    ],
    ids=["lapsed", "without an end", "refused", "given afterwards"],
)
def test_what_counts_is_whether_it_was_in_force_when_it_was_done(
    cast: Cast, changes: dict[str, Any], marked: bool
) -> None:
    sheet = bench_sheet(cast)
    _given(sheet, cast.mentor, cast.member, **changes)
    assert do(sheet, cast.member, RISKY, "done").without_go_ahead is marked


def test_a_late_line_goes_by_the_go_ahead_of_its_own_day(cast: Cast) -> None:
    sheet = bench_sheet(cast)
    _given(sheet, cast.mentor, cast.member, answered_at=NOON - timedelta(days=3), until=NOON - timedelta(days=1))
    assert not do(sheet, cast.member, RISKY, "done", happened_at=NOON - timedelta(days=2)).without_go_ahead
    assert do(sheet, cast.member, RISKY, "done", happened_at=NOON - timedelta(hours=1)).without_go_ahead


def test_nobody_goes_by_a_go_ahead_that_they_gave_themselves(cast: Cast) -> None:
    sheet = bench_sheet(cast)
    _given(sheet, cast.mentor, cast.member)
    assert do(sheet, cast.mentor, RISKY, "done").without_go_ahead
    assert _told() == {"mentor2"}


def test_a_go_ahead_is_not_for_helpers(cast: Cast) -> None:
    sheet = bench_sheet(cast)
    _given(sheet, cast.mentor, cast.member)
    step = do(sheet, cast.stranger, RISKY, "done", accepted=False)
    assert (step.go_ahead, step.without_go_ahead) == (None, True)
    assert _told() == {"mentor", "mentor2"}


@pytest.mark.parametrize("said", ["could_not_do"])
def test_what_could_not_be_done_was_not_done_without_asking(cast: Cast, said: str) -> None:
    step = do(bench_sheet(cast), cast.member, RISKY, said)
    assert (step.without_go_ahead, step.done_although) == (False, "")
    assert not Message.objects.exists()


def test_what_was_begun_or_is_not_sure_was_done_all_the_same(cast: Cast) -> None:
    sheet = bench_sheet(cast)
    assert do(sheet, cast.member, RISKY, "not_sure").without_go_ahead
    assert do(sheet, cast.member, "renew_crankpin@middle", "begun").without_go_ahead


def test_of_a_private_engine_only_those_near_it_are_told(cast: Cast) -> None:
    engine = bench_engine(cast, is_private=True, hands=(cast.member,))
    sheet = make_sheet(engine, opened_by=cast.member)
    do(sheet, cast.member, RISKY, "done")
    assert _told() == set()
    make_guest(engine, cast.mentor2, until=NOON.date() + timedelta(days=30))
    do(sheet, cast.member, RISKY, "done")
    assert _told() == {"mentor2"}
    make_hand(engine, cast.mentor)
    do(sheet, cast.member, RISKY, "done")
    assert _told() == {"mentor", "mentor2"}


def test_a_mentor_who_is_a_guest_no_more_is_not_told(cast: Cast) -> None:
    engine = bench_engine(cast, is_private=True, hands=(cast.member,))
    make_guest(engine, cast.mentor, until=LONG_AGO)
    do(make_sheet(engine, opened_by=cast.member), cast.member, RISKY, "done")
    assert _told() == set()


def test_what_cannot_be_undone_wants_the_owners_consent_as_well(cast: Cast) -> None:
    sheet, action = bench_sheet(cast), "restore_bore@middle"
    _given(sheet, cast.mentor, cast.member, action=action)
    assert "owner's consent" in do(sheet, cast.member, action, "done").done_although
    sheet.engine.consents.create(
        what="bore it out", action=action, given_by="the owner", on=LONG_AGO, how="letter", recorded_by=cast.owner
    )
    assert do(sheet, cast.member, action, "done").done_although == ""


def test_the_go_aheads_page_shows_what_is_suspected_and_how_it_is_done(cast: Cast) -> None:
    sheet = bench_sheet(cast)
    row = make_go_ahead(sheet, cast.member, action=RISKY, reason="It knocks.")
    page = cast.browser("mentor").get(f"/go-aheads/{row.pk}/").text
    assert "It knocks." in page
    assert "How it is done" in page
    assert read_page(sheet, at=NOON).go_aheads == (row,)
