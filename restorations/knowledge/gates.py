"""What stands between an action and doing it now, in a member's words. Gates are never traded against time."""

from __future__ import annotations

from dataclasses import dataclass

from restorations.knowledge.configuration import NOT_KNOWN
from restorations.knowledge.entries import Action, Remedy
from restorations.knowledge.facts import EngineFacts
from restorations.knowledge.gate_facts import GATE_FACTS, excluded, needed, words_of
from restorations.knowledge.places import Place

# What whoever does the step sets up on the spot, as against what somebody else must say or what takes time.
PREPARATIONS = frozenset({"wheels_clear", "wheels_chocked", "wheels_on_rail", "tied_down", "air_isolated"})


@dataclass(frozen=True, slots=True)
class Gate:
    """One gate; `kind` is "go-ahead", "inspector", "first", "never now" or "consent"; `fact` is what it turns on."""

    kind: str
    words: str
    fact: str = ""

    @property
    def is_preparation(self) -> bool:
        """Say whether whoever does the step can open the gate on the spot, by setting the engine up."""
        return self.kind == "first" and self.fact in PREPARATIONS


def gates_of(
    action: Action, action_id: str, place: Place, facts: EngineFacts, kind: str = NOT_KNOWN
) -> tuple[Gate, ...]:
    """Return every gate that is shut, in the words of this kind of engine; none for making safe."""
    if action.making_safe:
        return ()
    return (*_state_gates(action, place, facts, kind), *_permission_gates(action, action_id, facts))


def _state_gates(action: Action, place: Place, facts: EngineFacts, kind: str) -> list[Gate]:
    holding = facts.holding(place)
    missing = needed(action.needs, action.uses, action.authority) - holding
    forbidden = excluded(action.excludes, action.uses) & holding
    # Sorted by the table's order, so that a list of gates reads the same every time.
    never = [Gate("never now", f"Not {words_of(fact, kind)[1]}", fact) for fact in GATE_FACTS if fact in forbidden]
    return never + [_missing(fact, kind) for fact in GATE_FACTS if fact in missing]


def _missing(fact: str, kind: str) -> Gate:
    who = "inspector" if fact == "certificate_in_date" else "first"
    return Gate(who, f"First: {words_of(fact, kind)[0]}", fact)


def _permission_gates(action: Action, action_id: str, facts: EngineFacts) -> list[Gate]:
    found = []
    if action.is_risky and action_id not in facts.go_aheads:
        found.append(_go_ahead(action))
    if isinstance(action, Remedy) and action.cannot_be_undone and action_id not in facts.consents:
        found.append(Gate("consent", "Needs the owner's consent: it cannot be undone"))
    return found


def _go_ahead(action: Action) -> Gate:
    if action.authority == "inspector":
        return Gate("inspector", f"Needs the inspector: {_reason(action)}")
    return Gate("go-ahead", f"Needs a mentor's go-ahead: {_reason(action)}")


def _reason(action: Action) -> str:
    reasons = []
    if action.risk_person >= 2:
        reasons.append("somebody can be hurt")
    if action.risk_engine >= 2:
        reasons.append("the engine can be damaged")
    return " and ".join(reasons) or "a second pair of eyes before it is started"
