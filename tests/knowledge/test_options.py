"""What the planner of next steps is offered for one engine."""

from __future__ import annotations

from pathlib import Path

import pytest

from restorations.knowledge import Configuration, EngineFacts, EngineKnowledge, Prices, expand
from tests.knowledge.samples import IDLE, SIX_COUPLED, engine, knowledge, sample

COMPLAINT = ("wheels_stiff",)
WATER = {f"water_trapped@{side}.{end}" for side in ("left", "right") for end in ("back", "front")}


def test_every_check_and_remedy_of_the_engine_is_offered_once(tmp_path: Path) -> None:
    found = engine(tmp_path)
    options = found.options(facts=EngineFacts(), complaint=COMPLAINT)
    names = [step.name for step in options.steps()]
    assert sorted(names) == sorted([*found.checks, *found.remedies])
    options.check(found.model)


def test_look_carries_its_silent_causes_and_the_parts_causes_act_through(tmp_path: Path) -> None:
    found = engine(tmp_path).options(facts=EngineFacts(), complaint=COMPLAINT)
    looks = {look.name: look for look in found.looks}
    plain, one_off = looks["turn_wheels"], looks["turn_wheels_one_rod_off@left"]
    assert plain.inactive == WATER  # cocks taken to be open
    assert one_off.inactive == frozenset()  # this check has the cocks shut
    assert one_off.needs_off == {"connecting_rod@left"}
    assert one_off.silent(frozenset({"connecting_rod@left"})) == {
        "piston_gummed@left",
        "water_trapped@left.back",
        "water_trapped@left.front",
    }


def test_steps_carry_minutes_waiting_risk_and_the_words_of_their_gates(tmp_path: Path) -> None:
    found = engine(tmp_path).options(facts=EngineFacts(), complaint=COMPLAINT)
    soak = next(remedy for remedy in found.remedies if remedy.name == "soak_cylinder@right")
    assert (soak.minutes, soak.days, soak.success) == (20, 3, 0.7)
    assert soak.causes == {"piston_gummed@right"}
    assert soak.gate == "Needs the owner's consent: it cannot be undone"
    air = next(look for look in found.looks if look.name == "run_on_air")
    assert air.risk == 3
    assert air.gate.startswith("First: see it turn freely by hand; First: part the steam pipe")


def in_steam_and_by_hand(folder: Path) -> EngineKnowledge:
    """Return an engine with a complaint judged in steam, and with checks that need the fire lit or out."""
    files = sample()
    checks, findings = files["motion/checks"], files["motion/findings"]
    findings["gland_blows"] = {**findings["stiff_one_axle"], "requires": {"driven_by": "in_steam"}, "place": "engine"}
    checks["look_in_steam"] = {**checks["feel_pump"], "needs_fitted": ["fire"]}
    checks["look_cold"] = {**checks["feel_pump"], "needs_off": ["fire"]}
    return expand(knowledge(folder, files), Configuration(**SIX_COUPLED), IDLE)


def test_fire_is_a_part_where_the_complaint_is_judged_in_steam(tmp_path: Path) -> None:
    found = in_steam_and_by_hand(tmp_path)
    cold = found.options(facts=EngineFacts(), complaint=("gland_blows",))
    assert "fire" in cold.off
    assert {step.name: step.needs_fitted for step in cold.examinations}["look_in_steam"] == {"fire"}
    steaming = EngineFacts(boiler="in_steam", off=frozenset({"fire"}))
    assert "fire" not in found.options(facts=steaming, complaint=("gland_blows",)).off


@pytest.mark.parametrize(
    ("boiler", "in_steam", "cold"), [("cold", 10 + 45, 10), ("in_steam", 10, 10 + 5)], ids=["cold", "in steam"]
)
def test_raising_steam_is_charged_to_the_step_where_the_complaint_is_judged_without(
    tmp_path: Path, boiler: str, in_steam: float, cold: float
) -> None:
    options = in_steam_and_by_hand(tmp_path).options(facts=EngineFacts(boiler=boiler), complaint=COMPLAINT)
    minutes = {step.name: step.minutes for step in options.examinations}
    assert "fire" not in options.parts
    assert (minutes["look_in_steam"], minutes["look_cold"]) == (in_steam, cold)


def test_parts_off_that_the_knowledge_does_not_have_are_left_out(tmp_path: Path) -> None:
    facts = EngineFacts(off=frozenset({"connecting_rod@left", "whistle"}))
    assert engine(tmp_path).options(facts=facts, complaint=COMPLAINT).off == {"connecting_rod@left"}


def test_function_test_is_made_in_the_state_the_complaint_is_judged_in(tmp_path: Path) -> None:
    found = engine(tmp_path).options(facts=EngineFacts(), complaint=COMPLAINT)
    assert found.test_inactive == {"wheels_stiff": WATER}


def test_prices_are_passed_on(tmp_path: Path) -> None:
    prices = Prices(test_minutes=1, per_risk=2, per_day=3, hand_over_minutes=4)
    found = engine(tmp_path).options(facts=EngineFacts(), complaint=COMPLAINT, prices=prices)
    assert (found.test_minutes, found.price_per_risk, found.price_per_day, found.hand_over_minutes) == (1, 2, 3, 4)
