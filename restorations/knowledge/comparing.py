"""What would tell one cause from another: the findings at which they differ most, and direct examinations."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from restorations.knowledge.engine import EngineKnowledge
from restorations.knowledge.entries import Check
from restorations.knowledge.loader import Knowledge
from restorations.knowledge.rules import in_use

LEAST_GAP = 0.1
OTHER_SIDE = "other_side"
_Strengths = Mapping[str, tuple[float, ...]]


@dataclass(frozen=True, slots=True)
class Gap:
    """A finding, the level above which two causes differ most there, and the chance that each shows so much."""

    finding: str
    level: int
    first: float
    second: float
    is_across: bool = False
    """Whether it is seen on the side that the cause is not on."""

    @property
    def size(self) -> float:
        """How far the two chances are apart."""
        return abs(self.first - self.second)


@dataclass(frozen=True, slots=True)
class Examination:
    """A check that looks straight at one of the two causes."""

    check: str
    cause: str
    entry: Check


@dataclass(frozen=True, slots=True)
class Telling:
    """Gaps, the widest first, and examinations, the cheapest first."""

    gaps: tuple[Gap, ...]
    examinations: tuple[Examination, ...]


def tell_apart(knowledge: Knowledge, first: str, second: str) -> Telling:
    """Compare two causes wherever they are on an engine."""
    gaps = []
    for finding in in_use(knowledge.findings):
        for across in ("", OTHER_SIDE):
            strengths = {link.cause: link.strengths for link in finding.links if link.across == across}
            gaps.append(_gap(finding.id, strengths, first, second, is_across=bool(across)))
    examinations = [
        Examination(check.id, check.examines, check)
        for check in in_use(knowledge.checks)
        if check.examines in (first, second)
    ]
    return _telling(gaps, examinations)


def tell_apart_on(engine: EngineKnowledge, first: str, second: str) -> Telling:
    """Compare two causes at their places on one engine."""
    gaps = [
        _gap(finding.id, {cause: link.strengths for cause, link in finding.links.items()}, first, second)
        for finding in engine.findings.values()
    ]
    examinations = [
        Examination(check.id, check.target, check.entry)
        for check in engine.checks.values()
        if check.entry.examines and check.target in (first, second)
    ]
    return _telling(gaps, examinations)


def _gap(finding: str, strengths: _Strengths, first: str, second: str, *, is_across: bool = False) -> Gap | None:
    nothing = (0.0,) * max(map(len, strengths.values()), default=0)
    here, there = strengths.get(first, nothing), strengths.get(second, nothing)
    gaps = [
        Gap(finding, level, one, other, is_across)
        for level, (one, other) in enumerate(zip(here, there, strict=True), start=1)
    ]
    return max(gaps, key=lambda gap: gap.size, default=None)


def _telling(gaps: Iterable[Gap | None], examinations: Iterable[Examination]) -> Telling:
    wide = [gap for gap in gaps if gap is not None and gap.size >= LEAST_GAP]
    return Telling(
        tuple(sorted(wide, key=lambda gap: (-gap.size, gap.finding))),
        tuple(sorted(examinations, key=lambda one: (one.entry.minutes, one.entry.waiting_days, one.check))),
    )
