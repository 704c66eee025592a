"""When a go-ahead holds no more: at its end, when what its gates use has turned, when something dangerous was seen."""

from dataclasses import replace
from datetime import timedelta
from functools import cache
from typing import Any
from uuid import uuid4

import pytest
from hypothesis import given
from hypothesis import strategies as st

from restorations.faults import services
from restorations.faults.facts import bare_facts
from restorations.faults.leave import TURNED, Placed, facts_given_on, leave_on, turned_since
from restorations.faults.models import FaultSheet, GoAhead
from restorations.faults.services.sheets import ground_of
from restorations.knowledge import EngineFacts, EngineKnowledge, History, expand, load
from restorations.knowledge.facts import BOILER, WHEELS
from restorations.knowledge.gate_facts import GATE_FACTS
from restorations.members.doing import Doing
from restorations.tasks.services import ids_not_on
from tests.cast import Cast
from tests.factories import NOON
from tests.faults.builders import bench_engine, bench_sheet, make_go_ahead, make_part, make_sheet, make_soak, make_step
from tests.faults.sent import page_of, post

AIR, HAND = "try_on_light_air", "rebush_big_end@middle"
LATER = NOON + timedelta(hours=1)


@cache
def _known() -> EngineKnowledge:
    from restorations.knowledge import Configuration

    return expand(load(), Configuration(kind="tank_locomotive"), History())


def _give(sheet: FaultSheet, cast: Cast, action: str = HAND, **changes: Any) -> GoAhead:
    """Given through the service, on the facts of the moment."""
    row = make_go_ahead(sheet, cast.member, action=action)
    decision = services.Decision("given", "", NOON + timedelta(days=14))
    return services.answer_go_ahead(
        go_ahead=row, decision=decision, doing=Doing(cast.mentor, changes.pop("at", NOON)), mark=uuid4()
    )


def _why(sheet: FaultSheet, row: GoAhead, *, at: Any = LATER) -> str:
    sheet = FaultSheet.objects.select_related("engine").get(pk=sheet.pk)
    ground = ground_of(sheet, at=at)
    leave = leave_on(sheet, ground.expanded, bare_facts(sheet, ground.bench, ground.steps), at=at)
    assert (row.action in leave.actions) is (row.pk not in leave.lapsed)
    return leave.lapsed.get(row.pk, "")


def test_every_gate_fact_has_words_for_turning_both_ways() -> None:
    assert TURNED.keys() == GATE_FACTS.keys()


def test_what_was_so_when_it_was_given_is_stored_with_it(cast: Cast) -> None:
    row = _give(bench_sheet(cast), cast)
    assert "boiler_cold" in row.facts["holding"]
    assert row.facts["off"] == ["fire"]


def test_it_holds_until_its_end_and_not_a_moment_longer(cast: Cast) -> None:
    sheet = bench_sheet(cast)
    row = _give(sheet, cast)
    assert row.until is not None
    assert _why(sheet, row, at=row.until - timedelta(seconds=1)) == ""
    assert _why(sheet, row, at=row.until) == "its time was up"


def test_a_part_that_has_to_be_on_and_came_off_ends_it(cast: Cast) -> None:
    sheet = make_sheet(bench_engine(cast), opened_by=cast.member)
    placed = ground_of(sheet, at=NOON).expanded.checks[AIR]
    part = min(part for part in placed.needs_fitted if part.endswith("@middle"))
    row = _give(sheet, cast, AIR)
    component, _, place = part.partition("@")
    make_part(sheet.engine, cast.mate, component=component, place=place)
    assert ids_not_on([sheet.engine_id])[sheet.engine_id][0] == {part}
    assert _why(sheet, row).startswith("off now: ")


def test_solvent_put_on_ends_a_go_ahead_for_steam_but_not_one_for_a_bush(cast: Cast) -> None:
    steam = min(check.id for check in _known().checks.values() if "steam" in check.entry.uses)
    given = facts_given_on(_known().checks[steam], EngineFacts())
    wet = EngineFacts(volatile_solvent=True)
    assert "a volatile solvent is on the engine" in turned_since(_known(), _known().checks[steam], given, wet)
    sheet = bench_sheet(cast)
    row = _give(sheet, cast, HAND)
    make_soak(sheet.engine, cast.mate, place="middle")
    assert _why(sheet, row) == ""


def _dangerous(sheet: FaultSheet) -> str:
    findings = ground_of(sheet, at=NOON).expanded.findings.values()
    return min(placed.id for placed in findings if placed.entry.dangerous)


@pytest.mark.parametrize("accepted", [True, False], ids=["by the hands", "a helper's"])
def test_something_dangerous_seen_on_any_sheet_of_the_engine_ends_it(cast: Cast, accepted: bool) -> None:
    engine = bench_engine(cast, configuration={"kind": "tank_locomotive"})
    sheet, other = (make_sheet(engine, opened_by=cast.member) for _ in range(2))
    row = _give(sheet, cast, "finish_assembly")
    seen = {"finding": _dangerous(sheet), "words": "Gas smelt: plainly"}
    step = make_step(other, cast.member, at=LATER, accepted=accepted, **seen)
    assert _why(sheet, row, at=LATER) == "something dangerous was seen since: Gas smelt: plainly"
    step.strike_out(member=cast.mentor, reason="it was the neighbour's")
    assert _why(sheet, row, at=LATER) == ""


def test_a_danger_found_by_looking_at_the_part_itself_ends_it_too(cast: Cast) -> None:
    sheet = make_sheet(bench_engine(cast, configuration={"kind": "tank_locomotive"}), opened_by=cast.member)
    row = _give(sheet, cast, "finish_assembly")
    causes = ground_of(sheet, at=NOON).expanded.causes.values()
    cause = min(one.id for one in causes if one.entry.dangerous and one.entry.system == "boiler")
    found = {"kind": "inspection", "cause": cause, "finding": "", "level": None, "words": "A stay weeps: found"}
    make_step(sheet, cast.member, at=LATER, present=True, **found)
    assert _why(sheet, row, at=LATER) == "something dangerous was seen since: A stay weeps: found"


def test_what_was_seen_before_it_was_given_or_is_not_so_does_not_end_it(cast: Cast) -> None:
    sheet = make_sheet(bench_engine(cast, configuration={"kind": "tank_locomotive"}), opened_by=cast.member)
    finding = _dangerous(sheet)
    make_step(sheet, cast.member, at=NOON - timedelta(hours=1), finding=finding)
    row = _give(sheet, cast, "finish_assembly")
    make_step(sheet, cast.member, at=LATER, finding=finding, level=0)
    assert _why(sheet, row, at=LATER) == ""


def test_a_page_works_it_out_and_only_what_is_sent_writes_it_down(cast: Cast) -> None:
    sheet = bench_sheet(cast)
    row = make_go_ahead(
        sheet, cast.member, action=HAND, reason="It knocks.", answer="given", answered_by=cast.mentor,
        answered_at=NOON, facts={"holding": [], "off": sorted(_needed_off(sheet))},
    )  # fmt: skip
    assert "Holds no more: back on now:" in page_of(cast, sheet)
    row.refresh_from_db()
    assert row.lapsed_at is None
    assert post(cast, "member", f"/sheets/{sheet.pk}/note/", note="As it stands.").status_code == 302
    row.refresh_from_db()
    assert row.lapsed_at is not None
    assert row.lapsed_why.startswith("back on now:")


def _needed_off(sheet: FaultSheet) -> frozenset[str]:
    return ground_of(sheet, at=NOON).expanded.remedies[HAND].needs_off


def test_one_tap_asks_again_with_the_same_words_and_the_new_one_waits(cast: Cast) -> None:
    sheet = bench_sheet(cast)
    made = {"answer": "given", "answered_by": cast.mentor, "answered_at": NOON, "until": NOON + timedelta(minutes=1)}
    make_go_ahead(sheet, cast.member, action=HAND, reason="It knocks.", **made)
    page = page_of(cast, sheet)
    assert "its time was up" in page
    assert "Ask again" in page
    assert post(cast, "member", f"/sheets/{sheet.pk}/ask/", action=HAND, reason="It knocks.").status_code == 302
    assert GoAhead.objects.waiting().get().reason == "It knocks."
    assert "Earlier go-aheads for the same" in page_of(cast, sheet)


# Every state, every step


def facts() -> st.SearchStrategy[EngineFacts]:
    parts = sorted(_known().parts)
    return st.builds(
        EngineFacts, off=st.frozensets(st.sampled_from(parts), max_size=6), turns_freely=st.booleans(),
        volatile_solvent=st.booleans(), soaking=st.frozensets(st.sampled_from(["left", "right"])),
        certificate_in_date=st.booleans(), boiler=st.sampled_from(sorted(BOILER)),
        wheels=st.sampled_from(sorted(WHEELS)), tied_down=st.booleans(), air_isolated=st.booleans(),
    )  # fmt: skip


def steps() -> st.SearchStrategy[Placed]:
    risky = [one for one in (*_known().checks.values(), *_known().remedies.values()) if one.entry.is_risky]
    return st.sampled_from(sorted(risky, key=lambda placed: placed.id))


@given(steps(), facts())
def test_nothing_turns_while_nothing_changes(placed: Placed, now: EngineFacts) -> None:
    assert turned_since(_known(), placed, facts_given_on(placed, now), now) == ()


@given(steps(), facts(), facts())
def test_it_lapses_exactly_when_a_gate_that_was_open_has_shut_or_a_part_has_moved_the_wrong_way(
    placed: Placed, then: EngineFacts, now: EngineFacts
) -> None:
    def shut(facts: EngineFacts) -> set[str]:
        return {gate.fact for gate in _known().gates(placed.id, facts) if gate.fact}

    moved = (placed.needs_fitted & now.off - then.off) | (placed.needs_off & then.off - now.off)
    real = {part for part in moved if not _known().parts[part].entry.is_state}
    turned = turned_since(_known(), placed, facts_given_on(placed, then), now)
    assert bool(turned) is bool(shut(now) - shut(then) or real)


@given(steps(), facts(), st.sampled_from(["tied_down", "air_isolated"]))
def test_setting_the_engine_up_as_the_step_wants_it_is_no_lapse(placed: Placed, then: EngineFacts, made: str) -> None:
    if made in placed.entry.excludes:
        return
    then = replace(then, **{made: False})
    assert turned_since(_known(), placed, facts_given_on(placed, then), replace(then, **{made: True})) == ()
