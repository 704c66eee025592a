"""What a club hears of boiler, fire and track: the likely causes come first, and cheap steps before dear ones."""

from __future__ import annotations

from functools import cache

import pytest

from restorations.calc.diagnosis import Observed, advise, posterior
from restorations.knowledge import EngineFacts, EngineKnowledge, expand, load
from restorations.knowledge.reference_engines import REFERENCE_ENGINES, REFERENCE_PASTS
from restorations.knowledge.rules import in_use

TANK, TENDER = "six-coupled tank, Walschaerts", "tender engine, inside Stephenson"
GAS, SPIRIT = "garden tank engine, gas", "small tank, slip eccentrics"
IDLE, NEW, USED = "idle for years", "freshly assembled", "in regular use"
FIRST = 3

# What is seen with its level, and the cause that somebody who knows would think of.
COMPLAINTS = {
    "falls standing, comes back running": (
        TANK, USED, {"pressure_falls_standing": 1, "pressure_will_not_build": 0}, "blower_jets_blocked",
    ),
    "steams standing, falls on the run": (
        TANK, USED, {"pressure_will_not_build": 1, "pressure_falls_standing": 0}, "fire_thin_or_dirty",
    ),
    "short of steam after thirty years": (
        TENDER, IDLE, {"pressure_will_not_build": 1, "draught_poor": 1}, "tubes_choked",
    ),
    "blower dead since the repaint": (TENDER, NEW, {"blower_weak": 2}, "blower_supply_blocked"),
    "fire torn": (TANK, USED, {"fire_torn": 2}, "blast_nozzle_too_small"),
    "gas flame weak on a cold day": (GAS, USED, {"gas_flame_weak": 1}, "gas_cold_or_wrong_mixture"),
    "gas flame pops out": (GAS, IDLE, {"gas_flame_unsteady": 2}, "insects_in_burner"),
    "things melted under a gas engine": (GAS, USED, {"flame_outside_firebox": 2}, "flame_in_smokebox"),
    "wicks die one by one": (SPIRIT, IDLE, {"spirit_flame_dies": 1}, "spirit_wicks_bad"),
    "water thrown from the chimney": (TANK, USED, {"spits_water_at_chimney": 2}, "priming_from_high_water"),
    "primes at the first steaming of a rebuild": (
        TANK, NEW, {"spits_water_at_chimney": 2, "water_froths": 1}, "foaming_from_dirty_water",
    ),
    "slips on the bank": (TANK, USED, {"slips_uphill": 1}, "rail_greasy"),
    "slips, and the tender tightens on curves": (
        TENDER, NEW, {"slips_uphill": 1, "tightens_on_curves": 1}, "engine_tender_coupling_binds",
    ),
    "drip in the firebox": (TANK, IDLE, {"drip_in_firebox": 2}, "stay_weeping"),
    "regulator does not move after storage": (TANK, IDLE, {"regulator_stiff": 2}, "regulator_seized"),
}  # fmt: skip
# The minutes that the first advised step may take, set-up aside.
CHEAP = 12.0


@cache
def known(engine: str, past: str) -> EngineKnowledge:
    return expand(load(), REFERENCE_ENGINES[engine], REFERENCE_PASTS[past])


def looks(engine: EngineKnowledge, seen: dict[str, int]) -> list[Observed]:
    return [Observed(finding, level, engine.inactive(finding)) for finding, level in seen.items()]


@pytest.mark.parametrize(("engine", "past", "seen", "cause"), COMPLAINTS.values(), ids=COMPLAINTS.keys())
def test_likely_cause_is_among_the_first_three(engine: str, past: str, seen: dict[str, int], cause: str) -> None:
    found = known(engine, past)
    now = posterior(found.model, looks(found, seen)).now
    suspects = found.explaining(finding for finding, level in seen.items() if level) - {"unlisted"}
    assert cause in sorted(suspects, key=lambda one: -now[one])[:FIRST]


@pytest.mark.parametrize("complaint", ["falls standing, comes back running", "slips on the bank", "gas flame pops out"])
def test_first_advised_step_is_cheap_and_open_to_a_member(complaint: str) -> None:
    engine, past, seen, _ = COMPLAINTS[complaint]
    found = known(engine, past)
    on_the_bench = EngineFacts(certificate_in_date=True, turns_freely=True)
    options = found.options(facts=on_the_bench, complaint=tuple(finding for finding, level in seen.items() if level))
    first = advise(found.model, looks(found, seen), options)[0].step
    assert first.minutes <= CHEAP
    assert first.gate == ""


def test_what_mends_the_shell_of_a_boiler_is_the_inspectors() -> None:
    knowledge = load()
    shell = [cause for cause in in_use(knowledge.causes) if cause.system == "boiler" and cause.dangerous]
    remedies = {name for cause in shell if cause.id != "brass_gone_pink" for name in cause.remedies}
    assert remedies
    assert {name for name in remedies if knowledge.remedies[name].authority != "inspector"} == set()


def test_no_step_puts_air_where_it_could_reach_the_boiler_shell() -> None:
    knowledge = load()
    actions = [*in_use(knowledge.checks), *in_use(knowledge.remedies)]
    assert [one.id for one in actions if one.system == "boiler" and "air" in one.uses] == []
