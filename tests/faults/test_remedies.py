"""Remedies: what is done about a cause, what waits, and the look at the complaint that follows."""

from datetime import timedelta
from uuid import uuid4

import pytest
from django.utils import timezone

from restorations.calc.diagnosis import Remedied
from restorations.faults.facts import bench_facts, engine_facts
from restorations.faults.models import FaultSheet
from restorations.faults.page import SheetPage, read_page
from restorations.faults.ranking import evidence_of
from restorations.faults.services.sheets import ground_of
from restorations.home.next_checks import read_open_sheets
from restorations.tasks.models import Soak
from tests.cast import Cast
from tests.factories import NOON, TODAY
from tests.faults.builders import bench_sheet, do, latest, make_soak, see
from tests.faults.sent import answer, page_of

SOAK, GUMMED = "soak_cylinder@middle", "piston_gummed@middle"
QUICK = "ease_piston_gland@middle"
HEAT = "turn_wheels_warm"


@pytest.fixture
def sheet(cast: Cast) -> FaultSheet:
    sheet = bench_sheet(cast)
    see(sheet, cast.member, "wheels_stiff", 1)
    return sheet


def _page(sheet: FaultSheet) -> SheetPage:
    sheet.refresh_from_db()
    return read_page(sheet, at=NOON)


def _volatile(sheet: FaultSheet) -> bool:
    return bench_facts(sheet.engine, on=TODAY).volatile_solvent


def _gates(sheet: FaultSheet, action: str) -> list[str]:
    ground = ground_of(sheet, at=NOON)
    facts = engine_facts(sheet, ground.bench, ground.steps, expanded=ground.expanded, at=NOON)
    return [gate.fact for gate in ground.expanded.gates(action, facts)]


def test_a_remedy_is_evidence_of_its_own_kind_and_lowers_what_it_cures(cast: Cast, sheet: FaultSheet) -> None:
    before = latest(sheet).log_odds[GUMMED]
    step = do(sheet, cast.member, SOAK, "done")
    ground = ground_of(sheet, at=NOON)
    assert Remedied(GUMMED, success=step.success) in evidence_of(ground.steps, ground.expanded).events
    assert (step.kind, step.causes) == ("remedy", [GUMMED])
    assert latest(sheet).log_odds[GUMMED] < before
    assert latest(sheet).weights[GUMMED][-1] == 0


def test_after_a_remedy_the_complaint_is_looked_at_again(cast: Cast, sheet: FaultSheet) -> None:
    do(sheet, cast.member, QUICK, "done")
    page = _page(sheet)
    assert (page.stage, page.look_again.id) == ("look_again", "wheels_stiff")
    assert "Look at the complaint again." in page_of(cast, sheet)


def test_a_complaint_seen_gone_is_gone_and_one_still_there_goes_on(cast: Cast, sheet: FaultSheet) -> None:
    do(sheet, cast.member, QUICK, "done")
    see(sheet, cast.member, "wheels_stiff", 1, reported=False)
    assert _page(sheet).stage == "advice"
    do(sheet, cast.member, "repack_piston_gland@middle", "done")
    see(sheet, cast.member, "wheels_stiff", 0, reported=False)
    assert _page(sheet).stage == "gone"
    assert "The complaint is gone" in page_of(cast, sheet)


def test_a_complaint_of_two_findings_is_gone_when_both_are(cast: Cast, sheet: FaultSheet) -> None:
    see(sheet, cast.member, "rod_play@middle", 1)
    see(sheet, cast.member, "wheels_stiff", 0, reported=False)
    assert _page(sheet).stage == "advice"
    see(sheet, cast.member, "rod_play@middle", 0, reported=False)
    assert _page(sheet).stage == "gone"


def test_free_with_the_rod_off_is_not_gone(cast: Cast, sheet: FaultSheet) -> None:
    do(sheet, cast.member, "turn_wheels_one_rod_off@middle", "0", taken_off=("connecting_rod@middle",))
    assert _page(sheet).stage == "advice"


def test_a_remedy_begun_is_no_evidence_yet_and_soaks(cast: Cast, sheet: FaultSheet) -> None:
    before = latest(sheet).log_odds
    step = do(sheet, cast.member, SOAK, "begun")
    soak = Soak.objects.get()
    assert (step.kind, step.causes, step.is_evidence) == ("begun", [], False)
    assert (soak.place, soak.is_volatile, soak.due_at) == ("middle", True, NOON + timedelta(days=4))
    assert latest(sheet).log_odds == before


def test_something_volatile_shuts_the_heat_gate_at_once_and_done_opens_it(cast: Cast, sheet: FaultSheet) -> None:
    assert _gates(sheet, HEAT) == []
    do(sheet, cast.member, SOAK, "begun")
    assert _volatile(sheet)
    assert "volatile_solvent" in _gates(sheet, HEAT)
    do(sheet, cast.member, SOAK, "done", at=NOON + timedelta(days=4))
    assert Soak.objects.get().ended_by == cast.member
    assert not _volatile(sheet)
    assert _gates(sheet, HEAT) == []


def test_a_helpers_soak_in_something_volatile_shuts_the_heat_gate_before_anybody_accepts_it(
    cast: Cast, sheet: FaultSheet
) -> None:
    make_soak(sheet.engine, cast.stranger, accepted=False)
    assert "volatile_solvent" in _gates(sheet, HEAT)


def test_the_step_that_begins_a_soak_is_not_marked_for_what_it_brought_itself(cast: Cast, sheet: FaultSheet) -> None:
    for answered in ("begun", "done"):
        assert do(sheet, cast.member, SOAK, answered).done_although == ""


def test_heat_while_it_soaks_is_written_down_and_marked(cast: Cast, sheet: FaultSheet) -> None:
    do(sheet, cast.member, SOAK, "begun")
    step = do(sheet, cast.member, HEAT, "1")
    assert "volatile solvent" in step.done_although
    assert not step.without_go_ahead
    assert step.done_although in page_of(cast, sheet)


def test_what_was_begun_is_not_offered_again_but_waits_to_be_answered(cast: Cast, sheet: FaultSheet) -> None:
    do(sheet, cast.member, SOAK, "begun")
    page = _page(sheet)
    assert SOAK in [item.id for item in page.set_aside]
    assert page.proposal is None or page.proposal.id != SOAK
    assert SOAK not in [item.id for item in read_open_sheets(sheet.engine, at=NOON)[0].free]
    assert "What waits" in page_of(cast, sheet)


def test_what_was_begun_waits_even_when_it_is_advised_no_more(cast: Cast, sheet: FaultSheet) -> None:
    do(sheet, cast.member, "soak_valve@middle", "begun")
    snapshot = latest(sheet)
    snapshot.advice = [row for row in snapshot.advice if row["action"] != "soak_valve@middle"]
    snapshot.save()
    assert [item.id for item in _page(sheet).set_aside] == ["soak_valve@middle"]


@pytest.mark.parametrize("said", ["could_not_do", "not_sure"])
def test_could_not_and_not_sure_are_kept_count_for_nothing_and_are_not_offered_again(
    cast: Cast, sheet: FaultSheet, said: str
) -> None:
    before = latest(sheet)
    first = _page(sheet).proposal.id
    answer(cast, sheet, first, said, note="The nut is rounded off.")
    step, after = sheet.steps.in_order().last(), latest(sheet)
    assert (step.kind, step.action, step.note) == (said, first, "The nut is rounded off.")
    assert (after.log_odds, after.events) == (before.log_odds, before.events)
    page = _page(sheet)
    assert page.proposal.id != first
    assert first in [item.id for item in page.set_aside]


def test_an_answer_later_takes_it_off_the_list_of_what_was_set_aside(cast: Cast, sheet: FaultSheet) -> None:
    first = _page(sheet).proposal.id
    do(sheet, cast.member, first, "could_not_do")
    do(sheet, cast.member, first, "1" if "turn" in first else "found")
    assert first not in [item.id for item in _page(sheet).set_aside]


@pytest.mark.parametrize("said", ["begun", "found", "0", "7", "-1", "", "🚂", "yes\x00"])
def test_an_answer_that_a_remedy_does_not_have_is_refused(cast: Cast, sheet: FaultSheet, said: str) -> None:
    steps = sheet.steps.count()
    assert answer(cast, sheet, QUICK, said).status_code == 422
    assert sheet.steps.count() == steps


def test_a_check_that_looks_at_a_part_is_an_inspection_with_how_far_it_can_be_trusted(
    cast: Cast, sheet: FaultSheet
) -> None:
    action = "look_at_rod_in_gland@middle"
    before = latest(sheet).log_odds["piston_rod_rusted_in_gland@middle"]
    step = do(sheet, cast.member, action, "found")
    assert (step.kind, step.present, step.cause) == ("inspection", True, "piston_rod_rusted_in_gland@middle")
    assert 0 < step.false_alarm < step.sensitivity < 1
    assert latest(sheet).log_odds[step.cause] > before


def test_the_same_answer_twice_soaks_once(cast: Cast, sheet: FaultSheet) -> None:
    mark = str(uuid4())
    for _ in range(2):
        assert answer(cast, sheet, SOAK, "begun", submission=mark).status_code == 302
    assert Soak.objects.count() == 1
    assert Soak.objects.get().begun_at <= timezone.now()
