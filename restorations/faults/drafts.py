"""From a tapped answer to a step: which answers a check or remedy has, and what each one amounts to."""

from dataclasses import dataclass, replace

from restorations.faults.services.steps import StepDraft
from restorations.faults.wording import answered
from restorations.knowledge import EngineKnowledge
from restorations.knowledge.engine import PlacedCheck, PlacedRemedy

COULD_NOT, NOT_SURE = "could_not_do", "not_sure"
FOUND, NOT_FOUND = "found", "not_found"
DONE, BEGUN = "done", "begun"


class NoSuchAnswer(ValueError):
    """The answer does not belong to this check or remedy on this engine."""


@dataclass(frozen=True, slots=True)
class Answer:
    """One button: what is sent, what is read, what it would mean."""

    value: str
    label: str
    meaning: str = ""
    is_quiet: bool = False


QUIET = (Answer(COULD_NOT, "Could not do", is_quiet=True), Answer(NOT_SURE, "Not sure", is_quiet=True))


def action_of(expanded: EngineKnowledge, action: str) -> PlacedCheck | PlacedRemedy:
    found = expanded.checks.get(action) or expanded.remedies.get(action)
    if found is None:
        raise NoSuchAnswer("This engine has no such check or remedy; it may have been corrected meanwhile.")
    return found


def answers_for(expanded: EngineKnowledge, action: str) -> tuple[Answer, ...]:
    """The buttons of a check or a remedy, the two that stand back last."""
    placed = action_of(expanded, action)
    if isinstance(placed, PlacedRemedy):
        waits = placed.entry.waiting_days > 0
        first = (Answer(BEGUN, "Begun, now it waits"),) if waits else ()
        return (*first, Answer(DONE, "Done, and it came right" if waits else "Done"), *QUIET)
    meaning = placed.entry.meaning
    if placed.entry.answers:
        levels = expanded.findings[placed.target].entry.levels
        told = [placed.said(meaning.get(level, "")) for level in levels]
        return (*(Answer(str(i), _capital(level), told[i]) for i, level in enumerate(levels)), *QUIET)
    return (
        Answer(FOUND, "Found", placed.said(meaning.get("found", ""))),
        Answer(NOT_FOUND, "Not found", placed.said(meaning.get("not found", ""))),
        *QUIET,
    )


def _capital(words: str) -> str:
    return words[:1].upper() + words[1:]


def draft_of_answer(expanded: EngineKnowledge, action: str, value: str) -> StepDraft:
    """The step that this answer amounts to; raises NoSuchAnswer."""
    placed = action_of(expanded, action)
    answer = next((answer for answer in answers_for(expanded, action) if answer.value == value), None)
    if answer is None:
        raise NoSuchAnswer("Tap one of the answers of this step.")
    words = answered(placed.name, answer.label)
    if value in {COULD_NOT, NOT_SURE}:
        return StepDraft(kind=value, words=words, action=action)
    if isinstance(placed, PlacedRemedy):
        return _remedy(placed, value, words)
    draft = StepDraft(kind="observation", words=words, action=action, conditions=dict(placed.entry.conditions))
    if placed.entry.answers:
        return replace(draft, finding=placed.target, level=int(value))
    return replace(
        draft, kind="inspection", cause=placed.target, present=value == FOUND,
        sensitivity=placed.entry.sensitivity, false_alarm=placed.entry.false_alarm,
    )  # fmt: skip


def _remedy(placed: PlacedRemedy, value: str, words: str) -> StepDraft:
    entry, place = placed.entry, str(placed.place)
    if value == BEGUN:
        soak = (place, entry.waits_in, entry.puts_solvent, entry.waiting_days)
        return StepDraft(kind="begun", words=words, action=placed.id, soak=soak)
    return StepDraft(
        kind="remedy", words=words, action=placed.id, causes=tuple(placed.causes), success=entry.success,
        soak=(place, entry.waits_in, True, 1.0) if entry.puts_solvent and not entry.waiting_days else None,
        ends_soak=place if entry.waiting_days else "",
    )  # fmt: skip


def draft_of_finding(expanded: EngineKnowledge, finding: str, level: int, *, reported: bool) -> StepDraft:
    """Something seen without any check having asked for it."""
    placed = expanded.findings.get(finding)
    if placed is None or not 0 <= level < len(placed.entry.levels):
        raise NoSuchAnswer("This engine has no such finding, or no such level of it.")
    words = answered(placed.name, placed.entry.levels[level])
    conditions = {name: value for name, value in placed.entry.requires.items() if isinstance(value, str)}
    return StepDraft(
        kind="observation", words=words, finding=finding, level=level, reported=reported and level > 0,
        conditions=conditions,
    )  # fmt: skip
