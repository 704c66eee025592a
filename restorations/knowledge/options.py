"""Offers the checks and remedies of one engine to the planner of next steps."""

from __future__ import annotations

from typing import TypedDict

from restorations.calc import diagnosis
from restorations.knowledge.engine import EngineKnowledge, PlacedCheck, PlacedRemedy
from restorations.knowledge.facts import EngineFacts
from restorations.knowledge.gates import gates_of
from restorations.knowledge.prices import Prices

# A part of this id is off while there is no fire: taking it off is letting the boiler cool, fitting it raising steam.
FIRE = "fire"


class _Step(TypedDict):
    name: str
    minutes: float
    days: float
    risk: float
    needs_off: frozenset[str]
    needs_fitted: frozenset[str]
    gate: str


def options_of(
    engine: EngineKnowledge, facts: EngineFacts, complaint: tuple[str, ...], prices: Prices | None = None
) -> diagnosis.Options:
    """Return every step of this engine with its set-up, its price and its gates.

    Parts in `facts.off` that this engine's knowledge does not have are left out: they silence nothing.
    """
    worth = prices or Prices()
    checks = engine.checks.values()
    return diagnosis.Options(
        looks=tuple(_look(engine, check, facts) for check in checks if check.entry.answers),
        examinations=tuple(_examination(check, facts) for check in checks if check.entry.examines),
        remedies=tuple(_remedy(remedy, facts) for remedy in engine.remedies.values()),
        parts={
            part_id: diagnosis.Part(part.entry.minutes_off, part.entry.minutes_refit)
            for part_id, part in engine.parts.items()
        },
        off=parts_off(engine, facts),
        complaint=complaint,
        test_minutes=worth.test_minutes,
        price_per_risk=worth.per_risk,
        price_per_day=worth.per_day,
        hand_over_minutes=worth.hand_over_minutes,
        test_inactive={finding: engine.inactive(finding) for finding in complaint},
    )


def parts_off(engine: EngineKnowledge, facts: EngineFacts) -> frozenset[str]:
    """Return the parts of this engine that are off now, the fire among them when the engine is not in steam."""
    fire = {FIRE} if facts.boiler != "in_steam" else set()
    return frozenset((facts.off - {FIRE}) | fire) & engine.parts.keys()


def _look(engine: EngineKnowledge, check: PlacedCheck, facts: EngineFacts) -> diagnosis.Look:
    conditions = engine.conditions_of_look(check.target, check.entry.conditions)
    links = engine.findings[check.target].links
    inactive = frozenset(cause for cause, link in links.items() if link.is_silent(frozenset(), conditions))
    through = {cause: link.through for cause, link in links.items() if link.through and cause not in inactive}
    return diagnosis.Look(finding=check.target, inactive=inactive, through=through, **_step(check, facts))


def _examination(check: PlacedCheck, facts: EngineFacts) -> diagnosis.Examination:
    return diagnosis.Examination(
        cause=check.target,
        sensitivity=check.entry.sensitivity,
        false_alarm=check.entry.false_alarm,
        **_step(check, facts),
    )


def _remedy(remedy: PlacedRemedy, facts: EngineFacts) -> diagnosis.Remedy:
    return diagnosis.Remedy(causes=remedy.causes, success=remedy.entry.success, **_step(remedy, facts))


def _step(placed: PlacedCheck | PlacedRemedy, facts: EngineFacts) -> _Step:
    entry = placed.entry
    gates = gates_of(entry, placed.id, placed.place, facts)
    return {
        "name": placed.id,
        "minutes": entry.minutes,
        "days": entry.waiting_days,
        "risk": entry.risk,
        "needs_off": placed.needs_off,
        "needs_fitted": placed.needs_fitted,
        "gate": "; ".join(gate.words for gate in gates),
    }
