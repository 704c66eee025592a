"""Offers the checks and remedies of one engine to the planner of next steps."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TypedDict

from restorations.calc import diagnosis
from restorations.knowledge.engine import EngineKnowledge, PlacedCheck, PlacedRemedy
from restorations.knowledge.facts import EngineFacts
from restorations.knowledge.gates import gates_of
from restorations.knowledge.prices import Prices

# A part of this id is off while there is no fire: taking it off is letting the boiler cool, fitting it raising steam.
FIRE = "fire"
LEAST_LINK = 0.2  # below it a finding says too little of a cause to be looked at for its sake


class _Step(TypedDict):
    name: str
    minutes: float
    days: float
    risk: float
    needs_off: frozenset[str]
    needs_fitted: frozenset[str]
    gate: str


def options_of(
    engine: EngineKnowledge,
    facts: EngineFacts,
    complaint: tuple[str, ...],
    prices: Prices | None = None,
    bearing_on: frozenset[str] | None = None,
) -> diagnosis.Options:
    """Return every step of this engine with its set-up, its price and its gates.

    Where causes are given that the steps must bear on, what concerns others only is left out. Parts in `facts.off` that
    this engine's knowledge does not have are left out: they silence nothing.
    """
    worth = prices or Prices()
    parts = _parts(engine, complaint)
    steps = _Steps(engine, facts, frozenset(parts))
    wanted = _Wanted(engine, bearing_on)
    checks = engine.checks.values()
    return diagnosis.Options(
        looks=tuple(steps.look(check) for check in checks if check.entry.answers and wanted.look(check)),
        examinations=tuple(
            steps.examination(check) for check in checks if check.entry.examines and wanted.examination(check)
        ),
        remedies=tuple(steps.remedy(remedy) for remedy in engine.remedies.values() if wanted.remedy(remedy)),
        parts=parts,
        off=parts_off(engine, facts) & parts.keys(),
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


def _parts(engine: EngineKnowledge, complaint: tuple[str, ...]) -> dict[str, diagnosis.Part]:
    """Return the parts, the fire only where the complaint is judged in steam.

    The function test wants every part fitted; one made by hand or on air must not be charged with raising steam.
    """
    in_steam = any(engine.conditions_of_look(finding).get("driven_by") == "in_steam" for finding in complaint)
    return {
        part_id: diagnosis.Part(part.entry.minutes_off, part.entry.minutes_refit)
        for part_id, part in engine.parts.items()
        if in_steam or part_id != FIRE
    }


class _Wanted:
    """Tells the steps that bear on certain causes, or on any where none are given."""

    def __init__(self, engine: EngineKnowledge, causes: frozenset[str] | None) -> None:
        self._causes = engine.causes.keys() if causes is None else causes
        self._findings = {
            finding.id
            for finding in engine.findings.values()
            if causes is None
            or any(finding.links[cause].strengths[0] >= LEAST_LINK for cause in causes & finding.links.keys())
        }

    def look(self, check: PlacedCheck) -> bool:
        return check.target in self._findings

    def examination(self, check: PlacedCheck) -> bool:
        return check.target in self._causes

    def remedy(self, remedy: PlacedRemedy) -> bool:
        return not remedy.causes.isdisjoint(self._causes)


@dataclass(frozen=True, slots=True)
class _Steps:
    """Builds the steps of an engine; set-up of parts that are not among `parts` is charged to the step itself."""

    engine: EngineKnowledge
    facts: EngineFacts
    parts: frozenset[str]

    def look(self, check: PlacedCheck) -> diagnosis.Look:
        conditions = self.engine.conditions_of_look(check.target, check.entry.conditions)
        links = self.engine.findings[check.target].links
        inactive = frozenset(cause for cause, link in links.items() if link.is_silent(frozenset(), conditions))
        through = {cause: link.through for cause, link in links.items() if link.through and cause not in inactive}
        return diagnosis.Look(finding=check.target, inactive=inactive, through=through, **self._step(check))

    def examination(self, check: PlacedCheck) -> diagnosis.Examination:
        entry = check.entry
        return diagnosis.Examination(
            cause=check.target, sensitivity=entry.sensitivity, false_alarm=entry.false_alarm, **self._step(check)
        )

    def remedy(self, remedy: PlacedRemedy) -> diagnosis.Remedy:
        return diagnosis.Remedy(causes=remedy.causes, success=remedy.entry.success, **self._step(remedy))

    def _step(self, placed: PlacedCheck | PlacedRemedy) -> _Step:
        gates = gates_of(placed.entry, placed.id, placed.place, self.facts, self.engine.kind)
        return {
            "name": placed.id,
            "minutes": placed.entry.minutes + self._own_set_up(placed),
            "days": placed.entry.waiting_days,
            "risk": placed.entry.risk,
            "needs_off": placed.needs_off & self.parts,
            "needs_fitted": placed.needs_fitted & self.parts,
            "gate": "; ".join(gate.words for gate in gates),
        }

    def _own_set_up(self, placed: PlacedCheck | PlacedRemedy) -> float:
        off_now = parts_off(self.engine, self.facts)
        put_out = (placed.needs_off - self.parts) - off_now
        lit = (placed.needs_fitted - self.parts) & off_now
        entries = self.engine.parts
        return sum(entries[part].entry.minutes_off for part in put_out) + sum(
            entries[part].entry.minutes_refit for part in lit
        )
