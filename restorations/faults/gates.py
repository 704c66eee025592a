"""What stands between a step and doing it now: parts to move, and gates by today's facts."""

from collections.abc import Sequence
from dataclasses import replace

from restorations.faults.facts import BenchFacts
from restorations.knowledge import EngineFacts, EngineKnowledge, Gate
from restorations.knowledge.entries import Action
from restorations.tasks.models.tags import TAG_KINDS


def parts_to_move(
    expanded: EngineKnowledge, action: str, off: frozenset[str], perhaps_off: frozenset[str] = frozenset()
) -> tuple[Sequence[str], Sequence[str]]:
    """Parts that must come off first, and parts that must go back first, for this step as things stand.

    What is `perhaps_off`, a helper's line that nobody has accepted, has to be seen to either way.
    """
    placed = expanded.checks.get(action) or expanded.remedies[action]
    real = {part.id for part in expanded.parts.values() if not part.entry.is_state}
    return sorted(placed.needs_off & real - off), sorted(placed.needs_fitted & real & (off | perhaps_off))


def gates_now(expanded: EngineKnowledge, action: str, facts: EngineFacts, bench: BenchFacts) -> tuple[Gate, ...]:
    """The gates that are shut; what turned freely with a part off says nothing once the step has it put back."""
    _, to_fit = parts_to_move(expanded, action, facts.off, bench.off_unaccepted)
    shut = expanded.gates(action, replace(facts, turns_freely=facts.turns_freely and not to_fit))
    placed = expanded.checks.get(action) or expanded.remedies[action]
    return (*tag_gates(placed.entry, bench.tags), *shut)


def tag_gates(entry: Action, tags: frozenset[str]) -> tuple[Gate, ...]:
    """What hangs on the engine is obeyed: nothing turns it, or brings air or steam in, while its tag says not to."""
    powered = entry.uses & {"air", "steam"}
    barred = {
        "do_not_turn": "wheels_clear" in entry.needs or bool(powered),
        "no_air": "air" in powered,
        "do_not_steam": "steam" in powered,
    }
    return tuple(
        Gate("never now", f"Not while the tag {TAG_KINDS[kind]} hangs on it", kind)
        for kind, is_barred in barred.items()
        if is_barred and kind in tags and not entry.making_safe
    )
