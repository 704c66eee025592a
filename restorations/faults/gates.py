"""What stands between a step and doing it now: parts to move, and gates by today's facts."""

from collections.abc import Sequence
from dataclasses import replace

from restorations.knowledge import EngineFacts, EngineKnowledge, Gate


def parts_to_move(
    expanded: EngineKnowledge, action: str, off: frozenset[str], perhaps_off: frozenset[str] = frozenset()
) -> tuple[Sequence[str], Sequence[str]]:
    """Parts that must come off first, and parts that must go back first, for this step as things stand.

    What is `perhaps_off`, a helper's line that nobody has accepted, has to be seen to either way.
    """
    placed = expanded.checks.get(action) or expanded.remedies[action]
    real = {part.id for part in expanded.parts.values() if not part.entry.is_state}
    return sorted(placed.needs_off & real - off), sorted(placed.needs_fitted & real & (off | perhaps_off))


def gates_now(
    expanded: EngineKnowledge, action: str, facts: EngineFacts, perhaps_off: frozenset[str] = frozenset()
) -> tuple[Gate, ...]:
    """The gates that are shut; what turned freely with a part off says nothing once the step has it put back."""
    _, to_fit = parts_to_move(expanded, action, facts.off, perhaps_off)
    return expanded.gates(action, replace(facts, turns_freely=facts.turns_freely and not to_fit))
