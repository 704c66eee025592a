"""Why we think so: the leading suspicions of a stored ranking, with what moved each of them."""

from collections.abc import Sequence
from dataclasses import dataclass
from math import log10

from restorations.faults.models import Snapshot, Step
from restorations.faults.ranking import suspected_causes
from restorations.faults.wording import as_fraction, likeliness, odds_moved, probability
from restorations.knowledge import EngineKnowledge

SUSPECTS_SHOWN = 5
LEAST_SHOWN = 0.01
TOO_MANY_LINES = "So many lines hang together that what each of them did is not worked out."


@dataclass(frozen=True, slots=True)
class Move:
    """What one step did to one suspicion."""

    words: str
    decibans: float
    odds: str


@dataclass(frozen=True, slots=True)
class Suspect:
    number: int
    id: str
    name: str
    at: str
    place: str
    explain: str
    p: float
    because: str
    moves: tuple[Move, ...]
    is_dangerous: bool

    @property
    def entry(self) -> str:
        """The cause wherever it is on an engine, as the pages of the knowledge have it."""
        return self.id.partition("@")[0]

    @property
    def word(self) -> str:
        return likeliness(self.p)

    @property
    def fraction(self) -> str:
        return as_fraction(self.p)


def suspects_of(snapshot: Snapshot, expanded: EngineKnowledge, steps: Sequence[Step]) -> tuple[Suspect, ...]:
    words = {step.number: step.words for step in steps}
    suspected = suspected_causes(steps, expanded)
    ranked = sorted(snapshot.log_odds.items(), key=lambda pair: -pair[1])
    shown = [
        (cause, p)
        for cause, p in ((c, probability(odds)) for c, odds in ranked)
        if cause in suspected and p >= LEAST_SHOWN
    ]
    shown = shown[:SUSPECTS_SHOWN]
    return tuple(
        _suspect(number, cause, p, snapshot, expanded, words) for number, (cause, p) in enumerate(shown, start=1)
    )


def _suspect(
    number: int, cause: str, p: float, snapshot: Snapshot, expanded: EngineKnowledge, words: dict[int, str]
) -> Suspect:
    placed = expanded.causes[cause]
    moves = _moves(snapshot, cause, placed.probability, words)
    return Suspect(
        number=number,
        id=cause,
        name=placed.name,
        at=placed.entry.at,
        place="" if str(placed.place) == "engine" else str(placed.place),
        explain=placed.entry.explain,
        p=p,
        because=_because(moves) if not snapshot.events or cause in snapshot.weights else TOO_MANY_LINES,
        moves=moves,
        is_dangerous=placed.entry.dangerous,
    )


def _moves(snapshot: Snapshot, cause: str, prior: float, words: dict[int, str]) -> tuple[Move, ...]:
    decibans = 10 * log10(prior / (1 - prior))
    found = []
    for number, weight in zip(snapshot.events, snapshot.weights.get(cause, []), strict=False):
        if abs(weight) >= 0.05:
            found.append(Move(words.get(number, "a step"), weight, odds_moved(decibans, weight)))
        decibans += weight
    return tuple(found)


def _because(moves: tuple[Move, ...]) -> str:
    """The step that moved it most, as a sentence; a thing seen moves odds, it does not "support"."""
    if not moves:
        return "Nothing seen has moved it: as common as on any engine with this past."
    strongest = max(moves, key=lambda move: abs(move.decibans))
    went = "raised" if strongest.decibans > 0 else "lowered"
    return f"{strongest.words}. That {went} it {strongest.odds}."
