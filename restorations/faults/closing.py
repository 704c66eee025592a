"""What stands between a sheet and closing it, each thing named: some has to be done, some a mentor may answer for."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from restorations.faults.confirming import (
    Confirmed,
    complaint_left,
    dangers_left,
    name_of,
    objections,
    reports_of,
)
from restorations.faults.models import FaultSheet, GoAhead, Step
from restorations.faults.services.go_aheads import unlooked
from restorations.knowledge import EngineKnowledge
from restorations.tasks.models import Soak


@dataclass(frozen=True, slots=True)
class Bar:
    """One thing that is missing; where it `yields`, a mentor may say in words why it is closed regardless."""

    words: str
    anchor: str = ""
    yields: bool = False


@dataclass(frozen=True, slots=True)
class ConclusionDraft:
    """A conclusion as a form gives it."""

    outcome: str
    causes: tuple[Confirmed, ...] = ()
    words: str = ""
    regardless: str = ""

    def says_the_same_as(self, other: "ConclusionDraft") -> bool:
        rest = (self.outcome, self.words, self.regardless) == (other.outcome, other.words, other.regardless)
        return rest and set(self.causes) == set(other.causes)


def bars_of(sheet: FaultSheet, steps: Sequence[Step], expanded: EngineKnowledge) -> list[Bar]:
    """Everything that is missing, what must be done first; as many queries however long the sheet is."""
    return [
        *to_be_done(sheet),
        *_dangers(steps, expanded),
        *_complaint(steps, expanded),
        *_soaks(sheet, steps, expanded),
    ]


def to_be_done(sheet: FaultSheet) -> Iterator[Bar]:
    """What no mentor's words stand in for."""
    for step in unlooked(sheet):
        yield Bar(f"Done without a go-ahead, and no mentor has looked at it: “{step.words}”.", f"step-{step.number}")
    for row in GoAhead.objects.waiting().filter(sheet=sheet):
        yield Bar(f"A go-ahead waits for its answer: “{row.words}”.", f"go-ahead-{row.pk}")
    for step in sheet.steps.waiting().in_order():
        yield Bar(f"A helper's line waits to be accepted or struck out: “{step.words}”.", f"step-{step.number}")


def _dangers(steps: Sequence[Step], expanded: EngineKnowledge) -> Iterator[Bar]:
    for finding in dangers_left(steps, expanded):
        yield Bar(f"Dangerous, and still so when last looked at: “{finding.name}”.", yields=True)


def _complaint(steps: Sequence[Step], expanded: EngineKnowledge) -> Iterator[Bar]:
    if not reports_of(steps, expanded):
        yield Bar("Nothing of the complaint was ever picked as seen, so nothing can be looked at again.", yields=True)
    for finding in complaint_left(steps, expanded):
        yield Bar(
            f"Not yet looked at again and gone, with everything on that was on then: “{finding.name}”.", yields=True
        )


def _soaks(sheet: FaultSheet, steps: Sequence[Step], expanded: EngineKnowledge) -> Iterator[Bar]:
    """What was begun on this sheet and soaks still."""
    remedies = [
        expanded.remedies[step.action] for step in steps if step.kind == "begun" and step.action in expanded.remedies
    ]
    begun = {str(remedy.place): remedy.name for remedy in remedies}
    for place in Soak.objects.under_way().filter(engine=sheet.engine).values_list("place", flat=True):
        if place in begun:
            yield Bar(f"Still soaking: “{begun[place]}”.", yields=True)


def faults_in(draft: ConclusionDraft, steps: Sequence[Step], expanded: EngineKnowledge) -> list[str]:
    """What is wrong with a conclusion by itself, whoever proposes it."""
    return [*_inconsistent(draft, expanded), *objections(draft.causes, steps, expanded)]


def _inconsistent(draft: ConclusionDraft, expanded: EngineKnowledge) -> Iterator[str]:
    meant = [one for one in draft.causes if one.role == "cause"]
    if draft.outcome == "found" and not meant:
        yield "Say which cause it was, or that it was not found."
    if len({one.cause for one in draft.causes}) < len(draft.causes):
        yield "One cause is named twice."
    if draft.outcome == "not_found" and meant:
        yield f"Either the cause was found, or “{name_of(meant[0].cause, expanded)}” was found by the way."


def what_is_missing(draft: ConclusionDraft, bars: Sequence[Bar]) -> list[str]:
    """What keeps a mentor from closing with this conclusion."""
    missing = [bar.words for bar in bars if not bar.yields]
    yielding = [bar.words for bar in bars if bar.yields]
    if yielding and not draft.regardless:
        missing += [*yielding, "Do what is missing, or say in words why the sheet is closed regardless."]
    return missing
