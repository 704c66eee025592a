"""From a sheet's rows to a ranking: the only way into the engine of causes. No row is written here."""

import math
from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Any

from restorations.calc.diagnosis import (
    Advice,
    ImpossibleEvidence,
    Inspected,
    InvalidHistory,
    Observed,
    Outlook,
    Posterior,
    Remedied,
    TooEntangled,
    posterior,
    weights_of_evidence,
)
from restorations.faults.afresh import looked_at_afresh
from restorations.faults.facts import BenchFacts, parted
from restorations.faults.gates import gates_now
from restorations.faults.models import Step
from restorations.knowledge import UNLISTED, EngineFacts, EngineKnowledge, Prices
from restorations.knowledge.ahead import look_ahead

LEADING = 12
ADVICE_KEPT = 24
SAMPLES = 200
WORLDS = 2000
MOST_SECONDS_OF_WHY = 1.0
MOST_DECIBANS = 150.0  # 1e15 to 1, where the log-odds are bounded too
ENTANGLED = (
    "Too many findings hang together to be worked out. Look straight at one of the suspected parts and say what you "
    "found, or strike out what is doubtful."
)
CAME_BACK = (
    "“{}” went and came back, and is judged afresh since. What was cured is taken as cured: if it is the same fault "
    "again, a new sheet weighs it without that."
)
SEED = 20260401  # any fixed number: the same rows give the same ranking on every machine


@dataclass(frozen=True, slots=True)
class Evidence:
    """The events a sheet's steps amount to; `steps[i]` is the number of the step behind `events[i]`."""

    events: list[Any]
    steps: list[int]
    notes: list[str]


@dataclass(frozen=True, slots=True)
class Ranking:
    """What a snapshot keeps."""

    log_odds: dict[str, float] = field(default_factory=dict)
    log_evidence: float | None = None
    weights: dict[str, list[float]] = field(default_factory=dict)
    events: list[int] = field(default_factory=list)
    advice: list[dict[str, Any]] = field(default_factory=list)
    remaining_minutes: list[float] = field(default_factory=list)
    handed_over_share: float | None = None
    notes: list[str] = field(default_factory=list)
    problem: str = ""


def evidence_of(steps: Sequence[Step], expanded: EngineKnowledge) -> Evidence:
    """Turn standing steps, in order, into events; what names a place that no longer exists stays out and is named."""
    events: list[Any] = []
    numbers: list[int] = []
    notes: list[str] = []
    for step in steps:
        made = _events(step, expanded)
        if not made and step.is_evidence:
            notes.append(f"“{step.words}” is kept but not counted: this engine no longer has that place.")
        events.extend(made)
        numbers.extend([step.number] * len(made))
    afresh = looked_at_afresh(events)
    back = dict.fromkeys(new.finding for new, old in zip(afresh, events, strict=True) if new is not old)
    notes.extend(CAME_BACK.format(expanded.findings[finding].name) for finding in back)
    return Evidence(afresh, numbers, notes)


def _events(step: Step, expanded: EngineKnowledge) -> list[Any]:
    if step.kind == "observation" and step.finding in expanded.findings and step.level is not None:
        levels = len(expanded.findings[step.finding].entry.levels)
        conditions = _still_lawful(step.state.get("conditions", {}), expanded)
        inactive = expanded.inactive(step.finding, off=parted(step), conditions=conditions)
        return [Observed(step.finding, level=min(step.level, levels - 1), inactive=inactive)]
    if step.kind == "inspection" and step.cause in expanded.causes:
        return [
            Inspected(
                step.cause, present=bool(step.present), sensitivity=step.sensitivity or 0.9,
                false_alarm=step.false_alarm or 0.05,
            )
        ]  # fmt: skip
    if step.kind == "remedy":
        return [Remedied(cause, success=step.success or 0.5) for cause in step.causes if cause in expanded.causes]
    return []


def _still_lawful(conditions: dict[str, str], expanded: EngineKnowledge) -> dict[str, str]:
    """Those this engine still has: it may have lost its cocks, or mid gear, when its make-up was corrected."""
    known = expanded.conditions
    return {name: value for name, value in conditions.items() if name in known and value in known[name].values}


def complaint_of(steps: Sequence[Step], expanded: EngineKnowledge) -> tuple[str, ...]:
    """The findings to be made to go away, each once."""
    reported = [step.finding for step in steps if step.reported and step.level]
    return tuple(dict.fromkeys(finding for finding in reported if finding in expanded.findings))


def suspected_causes(steps: Sequence[Step], expanded: EngineKnowledge) -> frozenset[str]:
    """What can show in something seen, or was found when looked at. The rest only have their background rate, and
    what is on no list is said apart."""
    seen = {step.finding for step in steps if step.kind == "observation" and step.level}
    found = {step.cause for step in steps if step.kind == "inspection" and step.present}
    return (expanded.explaining(seen & expanded.findings.keys()) | (found & expanded.causes.keys())) - {UNLISTED}


def rank(expanded: EngineKnowledge, steps: Sequence[Step], facts: EngineFacts, prices: Prices) -> Ranking:
    """Infer once: causes, why, what next, how long. What cannot be computed is said, never guessed."""
    evidence = evidence_of(steps, expanded)
    try:
        result = posterior(expanded.model, evidence.events)
        suspected = suspected_causes(steps, expanded)
        leading = sorted(suspected, key=lambda cause: -result.now[cause])[:LEADING]
        weights = _weights(expanded, evidence.events, result, leading)
        ahead = _ahead(expanded, steps, result, facts, prices)
    except ImpossibleEvidence as error:
        return Ranking(notes=evidence.notes, problem=_contradiction(error, evidence, steps))
    except TooEntangled:
        return Ranking(notes=evidence.notes, problem=ENTANGLED)
    except InvalidHistory as error:
        return Ranking(notes=evidence.notes, problem=f"A step cannot be read: {error}")
    return Ranking(
        log_odds={cause: _log_odds(p) for cause, p in result.now.items()},
        log_evidence=float(result.log_evidence),
        weights=weights,
        events=evidence.steps,
        notes=[*evidence.notes, *(_named(note, expanded) for note in result.notes)],
        **_plain_outlook(ahead, expanded, facts),
    )


def _weights(
    expanded: EngineKnowledge, events: list[Any], known: Posterior, causes: list[str]
) -> dict[str, list[float]]:
    """What each event did to each of these suspicions; nothing where that would keep whoever recorded it waiting."""
    if not events or len(events) * known.predicted_seconds > MOST_SECONDS_OF_WHY:
        return {}
    try:
        weights = weights_of_evidence(expanded.model, events, causes)
    except TooEntangled:
        return {}
    return {cause: [_bounded(float(weight)) for _, weight in moved] for cause, moved in weights.items()}


def _named(note: str, expanded: EngineKnowledge) -> str:
    """A note begins with what was seen, by its id: members read its name."""
    finding, _, rest = note.partition(" ")
    return f"“{expanded.findings[finding].name}” {rest}" if finding in expanded.findings else note


def _bounded(weight: float) -> float:
    """What settles a cause (cured, and the finding gone that nothing else can take back) weighs without bound; as high
    as the odds are kept is high enough, and stays a number in every database."""
    return round(min(max(weight, -MOST_DECIBANS), MOST_DECIBANS), 3)


def _plain_outlook(ahead: Outlook | None, expanded: EngineKnowledge, facts: EngineFacts) -> dict[str, Any]:
    if ahead is None:
        return {}
    return {
        "advice": [_plain_advice(item, expanded, facts) for item in ahead.advice[:ADVICE_KEPT]],
        "remaining_minutes": [round(float(minutes), 1) for minutes in ahead.work.minutes],
        "handed_over_share": round(ahead.work.handed_over, 4),
    }


def _contradiction(error: ImpossibleEvidence, evidence: Evidence, steps: Sequence[Step]) -> str:
    """The lines that contradict each other, as they stand on the sheet."""
    words = {step.number: step.words for step in steps}
    numbers = [evidence.steps[evidence.events.index(event)] for event in error.events if event in evidence.events]
    lines = "; ".join(f"“{words[number]}”" for number in dict.fromkeys(numbers))
    return f"What was seen cannot all be so: {lines or 'one of the lines is wrong'}."


def _ahead(
    expanded: EngineKnowledge, steps: Sequence[Step], known: Posterior, facts: EngineFacts, prices: Prices
) -> Outlook | None:
    """What next and how long; nothing while no finding of the complaint has been named."""
    complaint = complaint_of(steps, expanded)
    if not complaint:
        return None
    return look_ahead(expanded, known, facts, complaint, prices, samples=WORLDS, n=SAMPLES, seed=SEED)


def _log_odds(p: float) -> float:
    """Natural log-odds, bounded where a double cannot tell p from 0 or 1."""
    bounded = min(max(p, 1e-15), 1 - 1e-15)
    return round(math.log(bounded) - math.log1p(-bounded), 9)


def _plain_advice(item: Advice, expanded: EngineKnowledge, facts: EngineFacts) -> dict[str, Any]:
    return {
        "action": item.step.name,
        "minutes_to_finish": round(item.minutes_to_finish, 2),
        "saves": round(item.saves, 2),
        "gate": _gate(item, expanded, facts),
    }


def _gate(item: Advice, expanded: EngineKnowledge, facts: EngineFacts) -> str:
    """As the page will read it; handing over is no step of the knowledge and has none."""
    action = item.step.name
    if action not in expanded.checks and action not in expanded.remedies:
        return item.gate
    return "; ".join(gate.words for gate in gates_now(expanded, action, facts, BenchFacts()))
