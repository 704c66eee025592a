"""One check or remedy as it would be done now: gates by today's facts, parts to move, answers."""

from collections.abc import Sequence
from dataclasses import dataclass

from restorations.faults.drafts import Answer, answers_for
from restorations.faults.facts import BenchFacts
from restorations.faults.gates import gates_now, parts_to_move
from restorations.faults.models import GoAhead
from restorations.faults.wording import days_in_words, minutes_in_words, part_apart, part_name
from restorations.knowledge import EngineFacts, EngineKnowledge
from restorations.knowledge.engine import PlacedCheck, PlacedRemedy
from restorations.knowledge.gates import Gate


@dataclass(frozen=True, slots=True)
class Proposal:
    """One check or remedy as it would be done now."""

    id: str
    placed: PlacedCheck | PlacedRemedy
    gates: tuple[Gate, ...]
    answers: tuple[Answer, ...]
    take_off: tuple[tuple[str, str, str], ...]
    """Part, its name, and what "off" means for it where that is not plainly taken off."""
    put_back: tuple[tuple[str, str, str], ...]
    waits_for_answer: bool = False
    looked_for: str = ""
    """The cause that "found" would mean, where the check is a look for one."""

    @property
    def how(self) -> str:
        return self.placed.said(self.placed.entry.how)

    @property
    def cautions(self) -> tuple[str, ...]:
        return tuple(self.placed.said(caution) for caution in self.placed.entry.cautions)

    @property
    def is_remedy(self) -> bool:
        return isinstance(self.placed, PlacedRemedy)

    @property
    def minutes(self) -> str:
        return minutes_in_words(self.placed.entry.minutes)

    @property
    def waiting(self) -> str:
        days = self.placed.entry.waiting_days
        return days_in_words(days) if days else ""

    @property
    def permission(self) -> Gate | None:
        """The gate that a mentor's (or inspector's) word opens, where that is what is missing."""
        return next((gate for gate in self.gates if gate.kind in {"go-ahead", "inspector"} and not gate.fact), None)

    @property
    def first(self) -> tuple[Gate, ...]:
        """Gates that neither a mentor's word nor setting the engine up opens."""
        return tuple(gate for gate in self.gates if gate is not self.permission and not gate.is_preparation)

    @property
    def needs_consent(self) -> bool:
        return any(gate.kind == "consent" for gate in self.gates)

    @property
    def preparations(self) -> tuple[Gate, ...]:
        """What whoever does it sets up first, and ticks."""
        return tuple(gate for gate in self.gates if gate.is_preparation)

    @property
    def may_be_done(self) -> bool:
        return all(gate.is_preparation for gate in self.gates)


def propose(
    expanded: EngineKnowledge, action: str, facts: EngineFacts, bench: BenchFacts, go_aheads: Sequence[GoAhead] = ()
) -> Proposal:
    """One action as it stands now: gates by today's facts, parts to move, answers."""
    placed = expanded.checks.get(action) or expanded.remedies[action]
    take, fit = parts_to_move(expanded, action, facts.off, bench.off_unaccepted)
    return Proposal(
        id=action,
        placed=placed,
        gates=gates_now(expanded, action, facts, bench),
        answers=answers_for(expanded, action),
        take_off=tuple((part, *part_apart(part_name(expanded, part))) for part in take),
        put_back=tuple((part, *part_apart(part_name(expanded, part))) for part in fit),
        waits_for_answer=any(row.action == action and row.is_waiting for row in go_aheads),
        looked_for=_looked_for(expanded, placed),
    )


def _looked_for(expanded: EngineKnowledge, placed: PlacedCheck | PlacedRemedy) -> str:
    """The cause that a check answered "found" or "not found" looks for."""
    if isinstance(placed, PlacedRemedy) or placed.entry.answers:
        return ""
    return expanded.causes[placed.target].name
