"""Gates: air, heat and steam are never offered before what must be so is so; what was done anyway is written down."""

from datetime import date, timedelta
from functools import cache
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from restorations.engines.models import Certificate
from restorations.faults.facts import BenchFacts, SheetState, bench_facts, engine_facts, facts_from, turns_freely
from restorations.faults.models import FaultSheet, Step
from restorations.faults.page import read_page
from restorations.faults.proposals import propose
from restorations.faults.services.sheets import ground_of
from restorations.knowledge import Configuration, EngineFacts, EngineKnowledge, expand, load
from tests.cast import Cast
from tests.factories import NOON, TODAY
from tests.faults.builders import (
    IDLE,
    ONE_CYLINDER,
    bench_sheet,
    do,
    latest,
    make_go_ahead,
    make_part,
    make_soak,
    see,
)
from tests.faults.sent import page_of

ROD = "connecting_rod@middle"
AIR, GENTLE_AIR = "try_on_light_air", "watch_for_jerks"
READY = {"tied_down": True, "air_isolated": True}


@cache
def known() -> EngineKnowledge:
    return expand(load(), Configuration(**ONE_CYLINDER), IDLE)


@cache
def _using(use: str) -> tuple[str, ...]:
    actions = {**known().checks, **known().remedies}
    return tuple(name for name, placed in actions.items() if use in placed.entry.uses)


def _in_steam() -> str:
    """A check in steam that a member may do."""
    return next(name for name in _using("steam") if known().checks[name].entry.authority != "inspector")


PARTS = st.frozensets(st.sampled_from([ROD, "crosshead@middle", "eccentric_rod@middle", "steam_chest_cover@middle"]))
BENCH = st.builds(
    BenchFacts,
    off=PARTS,
    off_unaccepted=PARTS,
    soaks=st.frozensets(st.tuples(st.just("middle"), st.booleans()), max_size=1),
    steam_allowed=st.booleans(),
    fitted_at=st.sampled_from([None, NOON - timedelta(days=2), NOON]),
)
STATES = st.builds(
    SheetState,
    conditions=st.fixed_dictionaries({"wheels": st.sampled_from(["clear", "on_rail", "chocked"])}),
    slackened=st.frozensets(st.just("piston_gland@middle")),
    tied_down=st.booleans(),
    air_isolated=st.booleans(),
    boiler=st.sampled_from(["cold", "hydraulic", "in_steam"]),
)


def _everything_allowed(state: SheetState, bench: BenchFacts, looks: list[Step]) -> EngineFacts:
    """The facts with every go-ahead and consent there could be: permission opens no other gate."""
    actions = frozenset({*known().checks, *known().remedies})
    turns = turns_freely(looks, bench, state.slackened)
    return facts_from(state, bench, turns=turns, go_aheads=actions, consents=actions)


def _look(level: int, *, off: frozenset[str] = frozenset(), days_ago: int = 1, **state: Any) -> Step:
    return Step(
        kind="observation", finding="wheels_stiff", level=level, happened_at=NOON - timedelta(days=days_ago),
        state={"off": sorted(off), **state},
    )  # fmt: skip


@given(state=STATES, bench=BENCH, level=st.sampled_from([None, 1, 2]))
def test_air_is_never_offered_before_it_was_seen_to_turn_freely(
    state: SheetState, bench: BenchFacts, level: int | None
) -> None:
    looks = [] if level is None else [_look(0, days_ago=2), _look(level)]
    facts = _everything_allowed(state, bench, looks)
    offered = [action for action in _using("air") if propose(known(), action, facts, bench).may_be_done]
    assert _using("air")
    assert not offered


@given(state=STATES, bench=BENCH, off=PARTS)
def test_air_is_offered_only_with_everything_fitted_that_was_fitted_when_it_turned_freely(
    state: SheetState, bench: BenchFacts, off: frozenset[str]
) -> None:
    facts = _everything_allowed(state, bench, [_look(0, off=off)])
    for action in _using("air"):
        proposal = propose(known(), action, facts, bench)
        if proposal.may_be_done:
            assert off <= bench.off | state.slackened
            assert not proposal.put_back
            assert bench.fitted_at is None or bench.fitted_at < NOON


@given(state=STATES, bench=BENCH)
def test_nothing_hot_is_offered_while_something_volatile_soaks(state: SheetState, bench: BenchFacts) -> None:
    facts = _everything_allowed(state, bench, [_look(0)])
    hot = {*_using("heat"), *_using("steam")}
    offered = [action for action in hot if propose(known(), action, facts, bench).may_be_done]
    assert hot
    assert not (bench.volatile_solvent and offered)


@given(state=STATES, bench=BENCH)
def test_steam_is_never_offered_without_certificates_in_date(state: SheetState, bench: BenchFacts) -> None:
    facts = _everything_allowed(state, bench, [_look(0)])
    steam = [action for action in _using("steam") if known().checks[action].entry.authority != "inspector"]
    offered = [action for action in steam if propose(known(), action, facts, bench).may_be_done]
    assert steam
    assert bench.steam_allowed or not offered


@pytest.mark.parametrize(
    ("looks", "bench", "free"),
    [
        ([], BenchFacts(), False),
        ([_look(0)], BenchFacts(), True),
        ([_look(1)], BenchFacts(), False),
        ([_look(0, days_ago=3), _look(1)], BenchFacts(), False),
        ([_look(1, days_ago=3), _look(0)], BenchFacts(), True),
        ([_look(0, off=frozenset({ROD}))], BenchFacts(), False),
        ([_look(0, off=frozenset({ROD}))], BenchFacts(off=frozenset({ROD})), True),
        ([_look(0, off=frozenset({ROD}))], BenchFacts(off_unaccepted=frozenset({ROD})), False),
        ([_look(0, slackened=["piston_gland@middle"])], BenchFacts(), False),
        ([_look(0)], BenchFacts(fitted_at=NOON), False),
        ([_look(0)], BenchFacts(fitted_at=NOON - timedelta(days=2)), True),
    ],
    ids=[
        "nobody looked", "free", "stiff", "free, then stiff", "stiff, then free", "free with the rod off, now on",
        "free with the rod off, still off", "still off, says a helper", "free with a slack gland, now nipped up",
        "a part put back since", "a part put back before",
    ],
)  # fmt: skip
def test_what_counts_as_seen_to_turn_freely(looks: list[Step], bench: BenchFacts, free: bool) -> None:
    assert turns_freely(looks, bench, frozenset()) is free


# On a sheet


def _gates(sheet: FaultSheet, action: str) -> list[str]:
    ground = ground_of(sheet, at=NOON)
    facts = engine_facts(sheet, ground.bench, ground.steps, expanded=ground.expanded, at=NOON)
    return [gate.fact or gate.kind for gate in propose(ground.expanded, action, facts, ground.bench).gates]


def _ready(cast: Cast, **changes: Any) -> FaultSheet:
    """Tied down, the steam pipe parted, and the air allowed by a mentor: only turning freely is missing."""
    sheet = bench_sheet(cast)
    FaultSheet.objects.filter(pk=sheet.pk).update(state={**sheet.state, **READY, **changes})
    for action in (AIR, GENTLE_AIR):
        make_go_ahead(
            sheet, cast.member, action=action, answer="given", answered_by=cast.mentor, answered_at=NOON,
            until=NOON + timedelta(days=30),
        )  # fmt: skip
    sheet.refresh_from_db()
    return sheet


def test_a_look_that_finds_it_free_opens_the_air(cast: Cast) -> None:
    sheet = _ready(cast)
    assert _gates(sheet, AIR) == ["turns_freely_by_hand"]
    see(sheet, cast.member, "wheels_stiff", 0)
    assert _gates(sheet, AIR) == []


def test_air_that_needs_a_rod_put_back_is_not_offered_on_a_look_without_it(cast: Cast) -> None:
    sheet = _ready(cast)
    do(sheet, cast.member, "turn_wheels_one_rod_off@middle", "0", taken_off=(ROD,))
    assert _gates(sheet, AIR) == ["turns_freely_by_hand"]


def test_air_waits_for_a_new_look_after_a_part_went_back(cast: Cast) -> None:
    sheet = _ready(cast)
    see(sheet, cast.member, "wheels_stiff", 0)
    part = make_part(sheet.engine, cast.member, component="connecting_rod", place="middle")
    type(part).objects.filter(pk=part.pk).update(
        ended_at=NOON + timedelta(minutes=5), ended_by=cast.member, ending="refitted"
    )
    assert _gates(sheet, AIR) == ["turns_freely_by_hand"]
    see(sheet, cast.member, "wheels_stiff", 0, at=NOON + timedelta(minutes=10))
    assert _gates(sheet, AIR) == []


def test_the_stored_advice_names_the_gate_as_the_page_reads_it(cast: Cast) -> None:
    sheet = _ready(cast)
    see(sheet, cast.member, "dry_squeal", 1)
    gates = {row["action"]: row["gate"] for row in latest(sheet).advice}
    air = [action for action in gates if action in _using("air")]
    assert air
    assert all("turn freely by hand" in gates[action] for action in air)


def test_a_step_that_only_wants_setting_up_is_offered_with_what_to_tick(cast: Cast) -> None:
    sheet = _ready(cast, tied_down=False, air_isolated=False)
    see(sheet, cast.member, "wheels_stiff", 0)
    page = cast.browser("member").get(f"/sheets/{sheet.pk}/actions/{AIR}/").text
    assert 'name="prepared" value="tied_down"' in page
    assert 'name="prepared" value="air_isolated"' in page
    step = do(sheet, cast.member, AIR, "0", prepared=("tied_down", "air_isolated"))
    sheet.refresh_from_db()
    assert step.done_although == ""
    assert sheet.state["tied_down"]
    assert sheet.state["air_isolated"]


def test_what_was_not_ticked_is_what_it_was_done_without(cast: Cast) -> None:
    sheet = _ready(cast, tied_down=False)
    see(sheet, cast.member, "wheels_stiff", 0)
    assert do(sheet, cast.member, AIR, "0").done_although == "First: tie the engine down"


def test_both_boiler_tests_in_date_open_the_steam(cast: Cast) -> None:
    sheet = bench_sheet(cast)
    assert "certificate_in_date" in _gates(sheet, _in_steam())
    for kind, lapses in (("hydraulic_test", date(2027, 1, 1)), ("steam_test", TODAY)):
        assert not bench_facts(sheet.engine, on=TODAY).steam_allowed
        Certificate.objects.create(
            engine=sheet.engine, kind=kind, passed_on=date(2026, 1, 1), lapses_on=lapses, by_whom="the inspector",
            recorded_by=cast.inspector,
        )  # fmt: skip
    assert "certificate_in_date" not in _gates(sheet, _in_steam())
    assert not bench_facts(sheet.engine, on=TODAY + timedelta(days=1)).steam_allowed


def test_a_paper_that_is_missing_cannot_be_asked_of_a_mentor(cast: Cast) -> None:
    sheet = bench_sheet(cast)
    page = cast.browser("member").get(f"/sheets/{sheet.pk}/actions/{_in_steam()}/").text
    assert "no certificate in date is recorded" in page
    assert "It has been done already" in page


def test_the_page_reads_gates_by_todays_facts_and_not_by_the_rankings(cast: Cast) -> None:
    sheet = bench_sheet(cast)
    see(sheet, cast.member, "wheels_stiff", 1)
    advised = [row["action"] for row in latest(sheet).advice]
    assert "turn_wheels_warm" in advised
    make_soak(sheet.engine, cast.member, place="middle")
    page = read_page(sheet, at=NOON)
    assert page.proposal is not None
    assert page.proposal.id not in _using("heat")
    assert "Worked out" in page_of(cast, sheet)
