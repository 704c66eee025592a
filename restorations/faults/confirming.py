"""What a sheet allows to be said of a cause: seen, cured and proved, or inferred; and whether the complaint is gone.

A cause is never its own evidence: what was cured is proved by looking again at what it shows in, what is inferred is
inferred from something seen. Steps are the standing ones, in order.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from restorations.faults.facts import parted
from restorations.faults.models import Step
from restorations.faults.ranking import evidence_of, suspected_causes
from restorations.knowledge import UNLISTED, EngineKnowledge
from restorations.knowledge.engine import PlacedFinding


@dataclass(frozen=True, slots=True)
class Confirmed:
    """One cause as somebody says it was confirmed; the unlisted cause is told in words."""

    cause: str
    how: str
    role: str = "cause"
    words: str = ""


@dataclass(frozen=True, slots=True)
class Cure:
    """The remedy that is proved to have cured a cause, or why none is."""

    remedy: Step | None = None
    problem: str = ""


def is_gone(look: Step, report: Step) -> bool:
    """With everything on the engine that was on it when it was reported: free with the rods off is no cure."""
    return look.level == 0 and parted(look) <= parted(report)


def reports_of(steps: Sequence[Step], expanded: EngineKnowledge) -> dict[str, Step]:
    """The complaint: each finding as it was first reported."""
    return {
        step.finding: step
        for step in reversed(steps)
        if step.reported and step.level and step.finding in expanded.findings
    }


def complaint_left(steps: Sequence[Step], expanded: EngineKnowledge) -> list[PlacedFinding]:
    """Findings of the complaint that nobody has looked at again and found gone."""
    latest = _latest_looks(steps)
    reports = reports_of(steps, expanded)
    return [expanded.findings[name] for name, report in reports.items() if not is_gone(latest[name], report)]


def dangers_left(steps: Sequence[Step], expanded: EngineKnowledge) -> list[PlacedFinding]:
    """Dangerous findings that were still so when last looked at."""
    seen = [name for name, look in _latest_looks(steps).items() if look.level and name in expanded.findings]
    return [expanded.findings[name] for name in seen if expanded.findings[name].entry.dangerous]


def _latest_looks(steps: Sequence[Step]) -> dict[str, Step]:
    return {step.finding: step for step in steps if step.kind == "observation"}


def look_that_found(cause: str, steps: Sequence[Step]) -> Step | None:
    """The last look at the part itself, where that was "found"."""
    looks = [step for step in steps if step.kind == "inspection" and step.cause == cause]
    return looks[-1] if looks and looks[-1].present else None


def cure_of(cause: str, steps: Sequence[Step], expanded: EngineKnowledge) -> Cure:
    """Proved where something it shows in was seen, the remedy was done, and then it was gone, with no other between."""
    if not any(step.kind == "remedy" and cause in step.causes for step in steps):
        return Cure(problem="no remedy on this sheet was aimed at it")
    problem = "after its remedy nothing it shows in was looked at again and gone: its own remedy would be its proof"
    for between in _went_away(cause, steps, expanded):
        aimed = [step for step in between if cause in step.causes]
        rivals = [step for step in between if cause not in step.causes]
        if aimed and not rivals:
            return Cure(remedy=aimed[-1])
        if aimed:
            problem = f"“{rivals[-1].words}” was done as well before anybody looked again: which of them cured it is"
            problem += " inferred, not proved"
    return Cure(problem=problem)


def _went_away(cause: str, steps: Sequence[Step], expanded: EngineKnowledge) -> Iterator[list[Step]]:
    """For each finding that the cause shows in and that went for good: the remedies while it went."""
    for name, finding in expanded.findings.items():
        if cause in finding.links:
            looks = [(i, step) for i, step in enumerate(steps) if _could_show(cause, name, step, expanded)]
            bad = max((i for i, step in looks if step.level), default=None)
            good = next((i for i, step in looks if bad is not None and i > bad and is_gone(step, steps[bad])), None)
            if bad is not None and good is not None:
                yield [step for step in steps[bad:good] if step.kind == "remedy"]


def _could_show(cause: str, finding: str, step: Step, expanded: EngineKnowledge) -> bool:
    """A look at this finding in a state in which the cause would have shown."""
    if step.kind != "observation" or step.finding != finding:
        return False
    events = evidence_of([step], expanded).events
    return bool(events) and cause not in events[0].inactive


def objections(confirmed: Sequence[Confirmed], steps: Sequence[Step], expanded: EngineKnowledge) -> list[str]:
    """What speaks against confirming these causes so, in words; the first thing for each."""
    found = [_objection(one, steps, expanded) for one in confirmed]
    return [f"{name_of(one.cause, expanded)}: {words}." for one, words in zip(confirmed, found, strict=True) if words]


def name_of(cause: str, expanded: EngineKnowledge) -> str:
    return expanded.causes[cause].name if cause in expanded.causes else cause


def _objection(one: Confirmed, steps: Sequence[Step], expanded: EngineKnowledge) -> str:
    if one.cause not in expanded.causes:
        return "this engine has no such cause"
    if one.cause == UNLISTED and not one.words:
        return "say in your own words what it was"
    against = {"seen": _not_seen, "cured": _not_cured, "inferred": _not_inferred}
    return against[one.how](one, steps, expanded)


def _not_seen(one: Confirmed, steps: Sequence[Step], expanded: EngineKnowledge) -> str:
    if one.words or look_that_found(one.cause, steps):
        return ""
    return "no line of this sheet says that it was looked at and found; write where and how it was seen"


def _not_cured(one: Confirmed, steps: Sequence[Step], expanded: EngineKnowledge) -> str:
    dangers = dangers_left(steps, expanded)
    if dangers:
        return f"nothing is called cured while “{dangers[0].name}” is still so"
    if one.cause == UNLISTED:
        left = complaint_left(steps, expanded)
        return f"“{left[0].name}” has not been looked at again and gone" if left else ""
    return cure_of(one.cause, steps, expanded).problem


def _not_inferred(one: Confirmed, steps: Sequence[Step], expanded: EngineKnowledge) -> str:
    if one.cause != UNLISTED and one.cause not in suspected_causes(steps, expanded):
        return "nothing seen on this sheet can come from it, so it would rest on nothing but itself"
    return "" if one.words else "write what it is inferred from"
