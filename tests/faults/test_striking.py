"""Lines struck out, undone and accepted: nothing is deleted, and the ranking follows."""

from datetime import timedelta
from uuid import uuid4

import pytest
from django.utils import timezone

from restorations.faults.models import FaultSheet, Step
from restorations.members.models import Act
from tests.cast import Cast
from tests.engines.sent import error_beside
from tests.factories import NOON
from tests.faults.builders import bench_sheet, latest, make_step, see
from tests.faults.sent import SHEET, answer, observe, page_of, post, trouble

GUMMED = "piston_gummed@middle"


@pytest.fixture
def sheet(cast: Cast) -> FaultSheet:
    return bench_sheet(cast)


def _undo(cast: Cast, step: Step, who: str = "member", **data: str) -> object:
    return post(cast, who, f"/steps/{step.pk}/undo/", **data)


# Striking out


def test_a_struck_line_stays_readable_and_counts_no_more(cast: Cast, sheet: FaultSheet) -> None:
    opened = latest(sheet)
    step = see(sheet, cast.member, "wheels_stiff", 1)
    response = post(cast, "member", f"/steps/{step.pk}/strike/", reason="That was the other engine.")
    step.refresh_from_db()
    assert response.status_code == 302
    assert (step.struck_by, step.struck_reason, step.stands) == (cast.member, "That was the other engine.", False)
    assert latest(sheet).log_odds == opened.log_odds
    page = page_of(cast, sheet)
    assert "<s>Wheels stiff to turn by hand: stiff</s>" in page
    assert "That was the other engine." in page
    assert {act.verb for act in Act.objects.about(step)} == {"recorded a step", "struck out a step"}


def test_later_weights_are_worked_out_again_without_it(cast: Cast, sheet: FaultSheet) -> None:
    first = see(sheet, cast.member, "wheels_stiff", 1)
    see(sheet, cast.member, "varnish_seen@middle", 1)
    post(cast, "member", f"/steps/{first.pk}/strike/", reason="wrong")
    snapshot = latest(sheet)
    assert snapshot.events == [2]
    assert all(len(weights) == 1 for weights in snapshot.weights.values())


def test_a_mentor_strikes_out_anothers_line_and_others_do_not(cast: Cast, sheet: FaultSheet) -> None:
    step = make_step(sheet, cast.member)
    for who in ("mate", "owner", "stranger", "secretary", "administrator"):
        assert post(cast, who, f"/steps/{step.pk}/strike/", reason="no").status_code == 403
    assert post(cast, "mentor", f"/steps/{step.pk}/strike/", reason="wrong side").status_code == 302
    assert Step.objects.get().struck_by == cast.mentor


def test_a_reason_is_asked_for(cast: Cast, sheet: FaultSheet) -> None:
    step = make_step(sheet, cast.member)
    for reason, words in (("", "Say why"), (" ", "Say why"), ("x" * 201, "at most 200"), ("\x00", "Null characters")):
        response = post(cast, "member", f"/steps/{step.pk}/strike/", reason=reason)
        assert response.status_code == 422
        assert words in error_beside(response.content.decode(), "reason")
    assert not Step.objects.get().is_struck


def test_a_line_struck_out_already_is_not_struck_out_again(cast: Cast, sheet: FaultSheet) -> None:
    step = make_step(sheet, cast.member)
    post(cast, "member", f"/steps/{step.pk}/strike/", reason="wrong side")
    response = post(cast, "mentor", f"/steps/{step.pk}/strike/", reason="wrong engine")
    assert response.status_code == 422
    assert "struck out already" in response.content.decode()
    step.refresh_from_db()
    assert (step.struck_by, step.struck_reason) == (cast.member, "wrong side")
    assert sheet.snapshots.count() == 2


def test_the_same_striking_out_twice_is_one(cast: Cast, sheet: FaultSheet) -> None:
    step, mark = make_step(sheet, cast.member), str(uuid4())
    for _ in range(2):
        response = post(cast, "member", f"/steps/{step.pk}/strike/", reason="wrong", submission=mark)
        assert response.status_code == 302
    assert sheet.snapshots.count() == 2


def test_html_in_a_reason_is_shown_as_text(cast: Cast, sheet: FaultSheet) -> None:
    step = make_step(sheet, cast.member)
    post(cast, "member", f"/steps/{step.pk}/strike/", reason="<i>no</i> 🙈")
    assert "&lt;i&gt;no&lt;/i&gt; 🙈" in page_of(cast, sheet)


# Undoing


def test_ones_own_line_is_undone_with_one_tap_and_stays_readable(cast: Cast, sheet: FaultSheet) -> None:
    observe(cast, sheet)
    step = Step.objects.get()
    assert f"/steps/{step.pk}/undo/" in page_of(cast, sheet)
    assert _undo(cast, step).status_code == 302
    step.refresh_from_db()
    assert step.struck_reason == "undone at once"
    page = page_of(cast, sheet)
    assert "undone at once" in page
    assert f"/steps/{step.pk}/undo/" not in page


def test_undo_answers_htmx_with_the_sheet(cast: Cast, sheet: FaultSheet) -> None:
    observe(cast, sheet)
    response = post(cast, "member", f"/steps/{Step.objects.get().pk}/undo/", headers=SHEET)
    assert response.status_code == 200
    assert response.content.decode().strip().startswith('<div id="sheet">')


@pytest.mark.parametrize("who", ["mate", "mentor", "owner", "stranger"])
def test_nobody_undoes_anothers_line(cast: Cast, sheet: FaultSheet, who: str) -> None:
    step = make_step(sheet, cast.member)
    assert _undo(cast, step, who).status_code == 403
    assert f"/steps/{step.pk}/undo/" not in page_of(cast, sheet, who)


def test_undo_is_for_ten_minutes(cast: Cast, sheet: FaultSheet) -> None:
    step = make_step(sheet, cast.member, at=timezone.now() - timedelta(minutes=10))
    response = _undo(cast, step)
    assert response.status_code == 422
    assert "ten minutes" in trouble(response)
    assert f"/steps/{step.pk}/undo/" not in page_of(cast, sheet)
    fresh = make_step(sheet, cast.member, at=timezone.now() - timedelta(minutes=9))
    assert _undo(cast, fresh).status_code == 302


def test_what_is_undone_is_not_undone_again_but_the_same_tap_twice_is_one(cast: Cast, sheet: FaultSheet) -> None:
    step, mark = make_step(sheet, cast.member), str(uuid4())
    for _ in range(2):
        assert _undo(cast, step, submission=mark).status_code == 302
    assert _undo(cast, step).status_code == 422
    assert sheet.snapshots.count() == 2


def test_undoing_an_answer_offers_the_step_again(cast: Cast, sheet: FaultSheet) -> None:
    observe(cast, sheet)
    advised = latest(sheet).advice[0]["action"]
    answer(cast, sheet, advised, "not_sure")
    _undo(cast, Step.objects.order_by("-number")[0])
    assert latest(sheet).advice[0]["action"] == advised


# Accepting a helper's line


def test_an_accepted_line_counts_from_then_on(cast: Cast, sheet: FaultSheet) -> None:
    before = latest(sheet).log_odds[GUMMED]
    observe(cast, sheet, "stranger")
    step = Step.objects.get()
    assert latest(sheet).log_odds[GUMMED] == before
    assert f"/steps/{step.pk}/accept/" in page_of(cast, sheet)
    assert post(cast, "mate", f"/steps/{step.pk}/accept/").status_code == 302
    step.refresh_from_db()
    assert (step.accepted_by, step.stands, step.done_by) == (cast.mate, True, cast.stranger)
    assert latest(sheet).log_odds[GUMMED] > before
    assert latest(sheet).events == [1]


def test_an_accepted_line_takes_its_place_by_time(cast: Cast, sheet: FaultSheet) -> None:
    waiting = make_step(sheet, cast.stranger, accepted=False, at=NOON - timedelta(hours=1))
    see(sheet, cast.member, "varnish_seen@middle", 1, at=NOON)
    post(cast, "member", f"/steps/{waiting.pk}/accept/")
    assert latest(sheet).events == [1, 2]


@pytest.mark.parametrize("who", ["stranger", "mentor", "secretary", "inspector"])
def test_only_hands_and_owner_accept(cast: Cast, sheet: FaultSheet, who: str) -> None:
    step = make_step(sheet, cast.stranger, accepted=False)
    assert post(cast, who, f"/steps/{step.pk}/accept/").status_code == 403
    assert f"/steps/{step.pk}/accept/" not in page_of(cast, sheet, who)


def test_what_was_accepted_or_struck_out_meanwhile_is_said(cast: Cast, sheet: FaultSheet) -> None:
    struck, accepted = (make_step(sheet, cast.stranger, accepted=False) for _ in range(2))
    post(cast, "stranger", f"/steps/{struck.pk}/strike/", reason="mistaken")
    post(cast, "mate", f"/steps/{accepted.pk}/accept/")
    for step in (struck, accepted):
        response = post(cast, "owner", f"/steps/{step.pk}/accept/")
        assert response.status_code == 422
        assert "meanwhile" in trouble(response)
    accepted.refresh_from_db()
    assert accepted.accepted_by == cast.mate


def test_the_same_acceptance_twice_is_one(cast: Cast, sheet: FaultSheet) -> None:
    step, mark = make_step(sheet, cast.stranger, accepted=False), str(uuid4())
    for _ in range(2):
        assert post(cast, "mate", f"/steps/{step.pk}/accept/", submission=mark).status_code == 302
    assert sheet.snapshots.count() == 2


@pytest.mark.parametrize("act", ["undo", "strike", "accept"])
def test_a_line_that_is_none_or_hidden_is_not_there(cast: Cast, act: str) -> None:
    assert post(cast, "member", f"/steps/987654321/{act}/").status_code == 404
