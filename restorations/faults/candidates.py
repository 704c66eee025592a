"""What the conclusion form offers: what the sheet has found and cured, and what it suspects most."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from restorations.faults.confirming import Confirmed, cure_of, look_that_found, reports_of
from restorations.faults.models import Snapshot, Step
from restorations.faults.suspicion import suspects_of
from restorations.knowledge import UNLISTED, EngineKnowledge


@dataclass(frozen=True, slots=True)
class Candidate:
    """One cause that may be confirmed, why it is offered, and what the sheet says of it already."""

    id: str
    name: str
    why: str
    verdict: str = ""
    """role.how, such as "cause.seen"; empty where the sheet does not say."""
    words: str = ""


def candidates(
    steps: Sequence[Step], snapshot: Snapshot, expanded: EngineKnowledge, proposed: Sequence[Confirmed] = ()
) -> dict[str, Candidate]:
    """By cause; a conclusion that is proposed already comes first, then what was found, cured, suspected."""
    found: dict[str, Candidate] = {}
    for one in (*_proposed(proposed, expanded), *_found(steps, expanded), *_cured(steps, snapshot, expanded)):
        found.setdefault(one.id, one)
    for suspect in suspects_of(snapshot, expanded, steps):
        why = f"Suspected: {suspect.word}, {suspect.fraction}."
        found.setdefault(suspect.id, Candidate(suspect.id, suspect.name, why))
    if not proposed:
        return found
    # Somebody has said already which of them it was; what they left out is left open.
    own = {one.cause for one in proposed}
    return {key: one if key in own else Candidate(one.id, one.name, one.why) for key, one in found.items()}


def _proposed(proposed: Sequence[Confirmed], expanded: EngineKnowledge) -> Iterator[Candidate]:
    for one in proposed:
        if one.cause in expanded.causes and one.cause != UNLISTED:
            name = expanded.causes[one.cause].name
            yield Candidate(one.cause, name, "Proposed.", f"{one.role}.{one.how}", one.words)


def _found(steps: Sequence[Step], expanded: EngineKnowledge) -> Iterator[Candidate]:
    causes = dict.fromkeys(step.cause for step in steps if step.kind == "inspection")
    for cause in causes:
        look = look_that_found(cause, steps)
        if look is not None and cause in expanded.causes:
            role = _role(cause, steps, expanded)
            yield Candidate(cause, expanded.causes[cause].name, f"{look.words}.", f"{role}.seen")


def _cured(steps: Sequence[Step], snapshot: Snapshot, expanded: EngineKnowledge) -> Iterator[Candidate]:
    """Of the causes that one remedy is aimed at, the likeliest: it lowers the odds of all of them alike."""
    for remedy in (step for step in steps if step.kind == "remedy"):
        proved = [c for c in remedy.causes if c in expanded.causes and cure_of(c, steps, expanded).remedy == remedy]
        for cause in sorted(proved, key=lambda cause: (-snapshot.log_odds.get(cause, -99.0), cause))[:1]:
            role = _role(cause, steps, expanded)
            yield Candidate(cause, expanded.causes[cause].name, f"{remedy.words}, and it went.", f"{role}.cured")


def _role(cause: str, steps: Sequence[Step], expanded: EngineKnowledge) -> str:
    """The reason of the complaint, where any of the complaint's findings can come from it."""
    return "cause" if cause in expanded.explaining(reports_of(steps, expanded)) else "by_the_way"
