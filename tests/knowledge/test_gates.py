"""Gates over all states: nothing is open in a state it excludes, nothing that makes safe is ever shut."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterator
from dataclasses import replace
from itertools import product
from pathlib import Path
from typing import Any

import pytest

from restorations.knowledge import EngineFacts, EngineKnowledge, Gate, InvalidFacts, Place, UnknownEntry, expand
from restorations.knowledge.configuration import Configuration
from tests.knowledge.samples import IDLE, SAFE, SIX_COUPLED, engine, knowledge, sample

# What each gate fact means, written out a second time.
MEANS: dict[str, Callable[[EngineFacts, Place], bool]] = {
    "turns_freely_by_hand": lambda facts, _: facts.turns_freely,
    "boiler_cold": lambda facts, _: facts.boiler == "cold",
    "under_hydraulic_test": lambda facts, _: facts.boiler == "hydraulic",
    "in_steam": lambda facts, _: facts.boiler == "in_steam",
    "certificate_in_date": lambda facts, _: facts.certificate_in_date,
    "air_isolated": lambda facts, _: facts.air_isolated,
    "wheels_clear": lambda facts, _: facts.wheels == "clear",
    "wheels_chocked": lambda facts, _: facts.wheels == "chocked",
    "wheels_on_rail": lambda facts, _: facts.wheels == "on_rail",
    "tied_down": lambda facts, _: facts.tied_down,
    "volatile_solvent": lambda facts, _: facts.volatile_solvent,
    "soaking": lambda facts, place: (
        "engine" in facts.soaking or (bool(facts.soaking) and place.side in ("", *facts.soaking))
    ),
    "under_pressure": lambda facts, _: facts.boiler in ("hydraulic", "in_steam"),
}
STATE_GATES = {"first", "never now"}


def states() -> Iterator[EngineFacts]:
    """Give every state that gates turn on."""
    yes_no = (False, True)
    soaks = (frozenset[str](), frozenset({"left"}), frozenset({"engine"}))
    boilers, wheels = ("cold", "hydraulic", "in_steam"), ("clear", "chocked", "on_rail")
    for turns, solvent, soak, passed, boiler, wheel, tied, isolated in product(
        yes_no, yes_no, soaks, yes_no, boilers, wheels, yes_no, yes_no
    ):
        yield EngineFacts(
            turns_freely=turns,
            volatile_solvent=solvent,
            soaking=soak,
            certificate_in_date=passed,
            boiler=boiler,
            wheels=wheel,
            tied_down=tied,
            air_isolated=isolated,
        )


def may_be_done(entry: Any, place: Place, facts: EngineFacts) -> bool:
    """Say from the meaning of the words whether the state of the engine allows an action."""
    needs = all(MEANS[fact](facts, place) for fact in entry.needs)
    excludes = any(MEANS[fact](facts, place) for fact in entry.excludes)
    air = "air" not in entry.uses or (facts.turns_freely and facts.air_isolated)
    heat = not entry.uses & {"heat", "steam"} or not facts.volatile_solvent
    steam = "steam" not in entry.uses or facts.certificate_in_date or entry.authority == "inspector"
    solvent = not getattr(entry, "puts_solvent", False) or facts.boiler != "in_steam"
    return needs and not excludes and air and heat and steam and solvent


def wrongly_gated(found: EngineKnowledge, without: Collection[str] = ()) -> set[tuple[str, bool]]:
    """Return the actions whose gates of state differ, in any state, from what the words mean.

    Of actions that say the same and stand on the same side one is tried: only that can make a difference.
    """
    wrong: set[tuple[str, bool]] = set()
    every = {**found.checks, **found.remedies}
    alike = {_says(item.entry, item.place): name for name, item in every.items() if item.entry.id not in without}
    actions = {name: every[name] for name in alike.values()}
    for facts in states():
        for action_id, action in actions.items():
            state = [gate for gate in found.gates(action_id, facts) if _is_of_state(gate)]
            allowed = may_be_done(action.entry, action.place, facts) or action.entry.making_safe
            if allowed == bool(state):
                wrong.add((action_id, allowed))
    return wrong


def _says(entry: Any, place: Place) -> tuple[Any, ...]:
    solvent = getattr(entry, "puts_solvent", False)
    return entry.needs, entry.excludes, entry.uses, entry.authority, entry.making_safe, solvent, place.side


def _is_of_state(gate: Gate) -> bool:
    return gate.kind in STATE_GATES or "certificate" in gate.words


@pytest.fixture
def bench(tmp_path: Path) -> EngineKnowledge:
    """Return an engine with a check or remedy for every use, need and exclusion."""
    files = sample()
    facts = sorted(MEANS)
    plain = {**files["motion/checks"]["feel_pump"], **SAFE}
    for fact in facts:
        files["motion/checks"][f"needs_{fact}"] = {**plain, "needs": [fact]}
        files["motion/checks"][f"not_{fact}"] = {**plain, "excludes": [fact]}
    for use in ("air", "heat", "steam"):
        files["motion/checks"][f"with_{use}"] = {**plain, "uses": [use], "needs": ["wheels_chocked"]}
    files["motion/checks"]["steam_test"] = {**plain, "uses": ["steam"], "authority": "inspector"}
    files["motion/checks"]["shut_off"] = {
        **plain,
        "needs": ["in_steam"],
        "risk_person": 3,
        "making_safe": True,
        "cautions": ["Stand back."],
    }
    return expand(knowledge(tmp_path, files), Configuration(**{**SIX_COUPLED, "feed_pump": "axle"}), IDLE)


def test_gates_of_state_are_shut_exactly_where_the_words_forbid(bench: EngineKnowledge) -> None:
    assert wrongly_gated(bench) == set()


def test_making_safe_is_never_gated(bench: EngineKnowledge) -> None:
    assert all(bench.gates("shut_off", facts) == () for facts in states())


def test_air_waits_until_the_engine_was_seen_to_turn_freely(tmp_path: Path) -> None:
    found = engine(tmp_path)
    ready = {"tied_down": True, "wheels": "clear", "air_isolated": True, "go_aheads": frozenset({"run_on_air"})}
    stiff = found.gates("run_on_air", EngineFacts(**ready))
    assert [gate.words for gate in stiff] == ["First: see it turn freely by hand"]
    assert found.gates("run_on_air", EngineFacts(turns_freely=True, **ready)) == ()


def test_every_gate_that_is_shut_is_told_in_words(tmp_path: Path) -> None:
    gates = engine(tmp_path).gates("run_on_air", EngineFacts(soaking=frozenset({"left"})))
    assert [(gate.kind, gate.words) for gate in gates] == [
        ("never now", "Not while it is left to soak"),
        ("first", "First: see it turn freely by hand"),
        ("first", "First: part the steam pipe and blank it on the boiler side, or open the boiler to the atmosphere"),
        ("first", "First: lift the engine so that its wheels are clear"),
        ("first", "First: tie the engine down"),
        ("go-ahead", "Needs a mentor's go-ahead: somebody can be hurt"),
    ]


@pytest.mark.parametrize(
    ("kind", "words"),
    [
        ("tender_locomotive", "lift the engine so that its wheels are clear"),
        ("traction_engine", "so that the flywheel is free to turn"),
        ("stationary_engine", "uncouple what it drives, so that flywheel and crankshaft are free to turn"),
        ("not_known", "on a stationary or marine engine flywheel and crankshaft free to turn"),
    ],
)
def test_wheels_are_set_free_in_the_words_of_the_kind_of_engine(tmp_path: Path, kind: str, words: str) -> None:
    found = replace(engine(tmp_path), kind=kind)
    (told,) = [gate.words for gate in found.gates("run_on_air", EngineFacts()) if gate.fact == "wheels_clear"]
    assert told.endswith(words)


def test_gates_that_setting_up_opens_are_told_from_those_that_must_be_waited_for(tmp_path: Path) -> None:
    gates = engine(tmp_path).gates("run_on_air", EngineFacts(soaking=frozenset({"left"})))
    assert {gate.fact: gate.is_preparation for gate in gates} == {
        "soaking": False,
        "turns_freely_by_hand": False,
        "air_isolated": True,
        "wheels_clear": True,
        "tied_down": True,
        "": False,
    }


def test_steam_waits_for_a_certificate_except_in_the_inspectors_test(bench: EngineKnowledge) -> None:
    nothing_recorded = EngineFacts(wheels="chocked")
    shut = bench.gates("with_steam", nothing_recorded)
    assert [gate.kind for gate in shut] == ["inspector"]
    assert "no certificate in date is recorded" in shut[0].words
    assert bench.gates("with_steam", EngineFacts(wheels="chocked", certificate_in_date=True)) == ()
    allowed = EngineFacts(go_aheads=frozenset({"steam_test"}))
    assert bench.gates("steam_test", allowed) == ()


def test_heat_never_meets_a_volatile_solvent(bench: EngineKnowledge) -> None:
    gates = bench.gates("with_heat", EngineFacts(wheels="chocked", volatile_solvent=True))
    assert [(gate.kind, gate.words) for gate in gates] == [
        ("never now", "Not while a volatile solvent is on the engine")
    ]


def test_solvent_is_never_put_on_an_engine_in_steam(tmp_path: Path) -> None:
    files = sample()
    files["cylinders/remedies"]["soak_cylinder"] |= {"excludes": [], "cannot_be_undone": False}
    found = expand(knowledge(tmp_path, files), Configuration(**SIX_COUPLED), IDLE)
    gates = found.gates("soak_cylinder@left", EngineFacts(boiler="in_steam"))
    assert [(gate.kind, gate.words) for gate in gates] == [("never now", "Not while the engine is in steam")]


def test_risky_step_waits_for_a_go_ahead_of_its_own(tmp_path: Path) -> None:
    found = engine(tmp_path)
    box = "ease_axlebox@left.axle1"
    gates = found.gates(box, EngineFacts(go_aheads=frozenset({"ease_axlebox@right.axle1"})))
    assert [(gate.kind, gate.words) for gate in gates] == [
        ("go-ahead", "Needs a mentor's go-ahead: the engine can be damaged")
    ]
    assert found.gates(box, EngineFacts(go_aheads=frozenset({box}))) == ()


def test_step_that_only_a_mentor_may_allow_waits_though_it_is_not_dangerous(tmp_path: Path) -> None:
    files = sample()
    files["motion/remedies"]["ease_axlebox"] |= {"risk_engine": 0, "authority": "mentor"}
    found = expand(knowledge(tmp_path, files), Configuration(**SIX_COUPLED), IDLE)
    assert [gate.kind for gate in found.gates("ease_axlebox", EngineFacts())] == ["go-ahead"]


def test_what_cannot_be_undone_waits_for_the_owner(tmp_path: Path) -> None:
    found = engine(tmp_path)
    assert [gate.kind for gate in found.gates("soak_cylinder@left", EngineFacts())] == ["consent"]
    assert found.gates("soak_cylinder@left", EngineFacts(consents=frozenset({"soak_cylinder@left"}))) == ()


def test_soak_on_one_side_does_not_stop_work_on_the_other(tmp_path: Path) -> None:
    files = sample()
    files["motion/checks"]["turn_wheels_one_rod_off"]["excludes"] = ["soaking"]
    found = expand(knowledge(tmp_path, files), Configuration(**SIX_COUPLED), IDLE)
    facts = EngineFacts(soaking=frozenset({"left"}))
    assert [gate.kind for gate in found.gates("turn_wheels_one_rod_off@left", facts)] == ["never now"]
    assert found.gates("turn_wheels_one_rod_off@right", facts) == ()


def test_unknown_action_is_named(tmp_path: Path) -> None:
    with pytest.raises(UnknownEntry, match="no check or remedy 'kick_it'"):
        engine(tmp_path).gates("kick_it", EngineFacts())


@pytest.mark.parametrize(
    ("facts", "expected"),
    [
        ({"boiler": "warm"}, "boiler 'warm': expected one of cold, hydraulic, in_steam"),
        ({"wheels": "off"}, "wheels 'off': expected one of clear, chocked, on_rail"),
        ({"soaking": frozenset({"attic"})}, "soaking: place 'attic'"),
    ],
)
def test_unlawful_facts_are_refused(facts: dict[str, Any], expected: str) -> None:
    with pytest.raises(InvalidFacts, match=expected):
        EngineFacts(**facts)
