"""Rods off: a step that moves parts writes rows, looks are read with what is off, helpers' rows wait."""

from datetime import timedelta

import pytest
from django.utils import timezone

from restorations.faults.facts import bench_facts
from restorations.faults.models import FaultSheet
from restorations.faults.page import read_page
from restorations.faults.ranking import evidence_of
from restorations.faults.services.sheets import ground_of
from restorations.tasks.models import StrippedPart
from tests.cast import Cast
from tests.factories import NOON, TODAY
from tests.faults.builders import do, latest, make_part, make_sheet, see, two_sided
from tests.faults.sent import answer, page_of

LEFT, RIGHT = "connecting_rod@left", "connecting_rod@right"
GUM_LEFT, GUM_RIGHT, BOX = "piston_gummed@left", "piston_gummed@right", "journal_rusted@axle1"


@pytest.fixture
def sheet(cast: Cast) -> FaultSheet:
    """Two sides, and the wheels found stiff with everything on."""
    sheet = make_sheet(two_sided(cast), opened_by=cast.member)
    see(sheet, cast.member, "wheels_stiff", 1, at=NOON)
    return sheet


def _inactive(sheet: FaultSheet, number: int) -> frozenset[str]:
    """The causes that could not show in the look of one step."""
    ground = ground_of(sheet, at=NOON)
    evidence = evidence_of(ground.steps, ground.expanded)
    return frozenset(evidence.events[evidence.steps.index(number)].inactive)


def _off(sheet: FaultSheet) -> frozenset[str]:
    return bench_facts(sheet.engine, on=TODAY).off


def test_a_rod_taken_off_for_a_step_is_a_standing_row_with_its_box(cast: Cast, sheet: FaultSheet) -> None:
    response = answer(cast, sheet, "turn_wheels_one_rod_off@left", "1", taken_off=[LEFT], box="tray 3")
    part = StrippedPart.objects.get()
    assert response.status_code == 302
    assert (part.part_id, part.off_by, part.stands) == (LEFT, cast.member, True)
    assert part.box == "tray 3"
    assert "off now: <b>connecting rod (left side)" in page_of(cast, sheet)


def test_a_look_is_read_with_the_rod_off_that_came_off_for_it(cast: Cast, sheet: FaultSheet) -> None:
    step = do(sheet, cast.member, "turn_wheels_one_rod_off@left", "1", taken_off=(LEFT,))
    assert step.state["off"] == [LEFT]
    inactive = _inactive(sheet, step.number)
    assert GUM_LEFT in inactive
    assert GUM_RIGHT not in inactive
    assert not _inactive(sheet, 1) & {GUM_LEFT, GUM_RIGHT}


def test_free_with_a_rod_off_points_to_that_side(cast: Cast, sheet: FaultSheet) -> None:
    before = latest(sheet).log_odds
    do(sheet, cast.member, "turn_wheels_one_rod_off@left", "0", taken_off=(LEFT,))
    after = latest(sheet).log_odds
    assert after[GUM_LEFT] > before[GUM_LEFT]
    assert after[GUM_RIGHT] < before[GUM_RIGHT]


def test_still_stiff_with_both_rods_off_takes_back_what_stiff_with_them_on_gave(cast: Cast, sheet: FaultSheet) -> None:
    do(sheet, cast.member, "turn_wheels_both_rods_off", "1", taken_off=(LEFT, RIGHT))
    snapshot = latest(sheet)
    assert snapshot.events == [1, 2]
    first, second = snapshot.weights[BOX]
    assert first > 0
    assert second > 0
    opened, seen, both_off = (row.log_odds[GUM_LEFT] for row in sheet.snapshots.order_by("pk"))
    assert seen > opened > both_off


def test_what_came_off_before_by_the_parts_list_counts_too(cast: Cast, sheet: FaultSheet) -> None:
    make_part(sheet.engine, cast.mate, component="connecting_rod", place="right")
    step = see(sheet, cast.member, "wheels_stiff", 1)
    assert step.state["off"] == [RIGHT]
    assert GUM_RIGHT in _inactive(sheet, step.number)


def test_a_part_that_is_off_already_is_not_written_down_twice(cast: Cast, sheet: FaultSheet) -> None:
    do(sheet, cast.member, "turn_wheels_one_rod_off@left", "1", taken_off=(LEFT,))
    do(sheet, cast.mate, "turn_wheels_both_rods_off", "1", taken_off=(LEFT, RIGHT))
    assert sorted(part.part_id for part in StrippedPart.objects.all()) == [LEFT, RIGHT]


def test_a_step_that_needs_a_part_puts_it_back(cast: Cast, sheet: FaultSheet) -> None:
    do(sheet, cast.member, "turn_wheels_one_rod_off@left", "1", taken_off=(LEFT,))
    step = do(sheet, cast.mate, "turn_wheels_all_on", "1", refitted=(LEFT,))
    part = StrippedPart.objects.get()
    assert (part.ending, part.ended_by) == ("refitted", cast.mate)
    assert (step.state["off"], _off(sheet)) == ([], frozenset())


def test_the_page_proposes_to_take_off_and_to_put_back_by_what_is_off_now(cast: Cast, sheet: FaultSheet) -> None:
    address = f"/sheets/{sheet.pk}/actions/"
    browser = cast.browser("member")
    assert 'name="taken_off" value="connecting_rod@left" checked' in browser.get(
        f"{address}turn_wheels_one_rod_off@left/"
    ).text.replace("&#x27;", "'")
    make_part(sheet.engine, cast.member)
    assert 'name="taken_off"' not in browser.get(f"{address}turn_wheels_one_rod_off@left/").text
    assert 'name="refitted" value="connecting_rod@left" checked' in browser.get(f"{address}turn_wheels_all_on/").text


@pytest.mark.parametrize("part", ["fire", "no_such_part", "coupling_rod@left", "connecting_rod@middle", "🚂"])
def test_only_parts_that_this_engine_has_come_off(cast: Cast, sheet: FaultSheet, part: str) -> None:
    answer(cast, sheet, "turn_wheels_one_rod_off@left", "1", taken_off=[part, LEFT], refitted=[part])
    assert [row.part_id for row in StrippedPart.objects.all()] == [LEFT]


def test_a_slackened_gland_silences_its_side_until_it_is_nipped_up(cast: Cast, sheet: FaultSheet) -> None:
    state = {**sheet.state, "slackened": ["piston_gland@left"]}
    FaultSheet.objects.filter(pk=sheet.pk).update(state=state)
    sheet.refresh_from_db()
    slack = see(sheet, cast.member, "wheels_stiff", 1)
    assert "piston_gland_tight@left" in _inactive(sheet, slack.number)
    nipped = do(sheet, cast.member, "turn_wheels_all_on", "1", refitted=("piston_gland@left",))
    sheet.refresh_from_db()
    assert (nipped.state["slackened"], sheet.state["slackened"]) == ([], [])


# A helper's rows


def test_a_helpers_part_off_is_not_read_into_a_look_until_it_is_accepted(cast: Cast, sheet: FaultSheet) -> None:
    part = make_part(sheet.engine, cast.stranger, accepted=False)
    waiting = see(sheet, cast.member, "wheels_stiff", 1)
    StrippedPart.objects.filter(pk=part.pk).update(accepted_at=NOON, accepted_by=cast.mate)
    accepted = see(sheet, cast.member, "wheels_stiff", 1)
    assert (waiting.state["off"], accepted.state["off"]) == ([], [LEFT])


def test_no_step_relies_on_a_part_that_a_helper_says_is_off(cast: Cast, sheet: FaultSheet) -> None:
    make_part(sheet.engine, cast.stranger, accepted=False)
    address = f"/sheets/{sheet.pk}/actions/turn_wheels_all_on/"
    assert 'name="refitted" value="connecting_rod@left" checked' in cast.browser("member").get(address).text


def test_whoever_takes_off_what_a_helper_took_off_makes_that_line_stand(cast: Cast, sheet: FaultSheet) -> None:
    make_part(sheet.engine, cast.stranger, accepted=False)
    step = do(sheet, cast.member, "turn_wheels_one_rod_off@left", "1", taken_off=(LEFT,))
    part = StrippedPart.objects.get()
    assert (part.off_by, part.accepted_by, part.stands) == (cast.stranger, cast.member, True)
    assert step.state["off"] == [LEFT]
    assert _off(sheet) == {LEFT}
    assert not read_page(sheet, at=NOON).is_stale


def test_a_helpers_step_moves_parts_that_wait_with_it(cast: Cast, sheet: FaultSheet) -> None:
    step = do(sheet, cast.stranger, "turn_wheels_one_rod_off@left", "1", accepted=False, taken_off=(LEFT,))
    assert not StrippedPart.objects.get().stands
    assert (step.state["off"], _off(sheet)) == ([LEFT], frozenset())


def test_a_part_that_went_back_and_came_off_again_has_two_rows(cast: Cast, sheet: FaultSheet) -> None:
    do(sheet, cast.member, "turn_wheels_one_rod_off@left", "1", taken_off=(LEFT,))
    do(sheet, cast.member, "turn_wheels_all_on", "1", refitted=(LEFT,), at=NOON + timedelta(hours=1))
    do(sheet, cast.member, "turn_wheels_one_rod_off@left", "1", taken_off=(LEFT,), at=NOON + timedelta(hours=2))
    assert StrippedPart.objects.count() == 2
    assert _off(sheet) == {LEFT}
    assert timezone.is_aware(StrippedPart.objects.order_by("-pk")[0].off_at)
