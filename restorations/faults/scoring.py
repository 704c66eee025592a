"""How the rankings of one sheet did, from the snapshots as they were stored: worked out once, when it is closed.

A prediction is scored against the answer that then came, so only examinations count: what the ranking of that moment
made of "found". Steps are the standing ones, in order.
"""

from collections.abc import Iterator, Mapping, Sequence
from itertools import pairwise
from typing import Any

from restorations.calc.diagnosis.scoring import ranks_of_confirmed
from restorations.faults.confirming import Confirmed
from restorations.faults.models import FaultSheet, Snapshot, Step
from restorations.faults.ranking import suspected_causes
from restorations.faults.wording import probability
from restorations.knowledge import UNLISTED, EngineKnowledge

OPENING = "opening"
AFTER_CHECKS = (2, 4, 8)
CHECKS = frozenset({"observation", "inspection"})
DONE = CHECKS | {"remedy", "begun"}


def complaint_steps(steps: Sequence[Step]) -> list[Step]:
    """What was reported before anybody did anything: the complaint alone."""
    done = next((i for i, step in enumerate(steps) if step.action), len(steps))
    return [step for step in steps[:done] if step.reported and step.is_evidence]


def score_of(
    sheet: FaultSheet, confirmed: Sequence[Confirmed], steps: Sequence[Step], expanded: EngineKnowledge
) -> dict[str, Any]:
    """The columns of a SheetScore; reads the stored snapshots with one query."""
    checks = [i for i, step in enumerate(steps) if step.action and step.kind in CHECKS]
    moments = _moments(steps, checks)
    snapshots = _snapshots(sheet, steps)
    opening = _after(steps, moments[OPENING], snapshots)
    return {
        "system": _system(confirmed, expanded),
        "ranks": dict(_ranks(confirmed, steps, expanded, moments, snapshots)),
        "checks": len(checks),
        "predictions": [list(pair) for pair in _predictions(steps, snapshots)],
        "minutes_spent": minutes_of(steps, expanded),
        "minutes_even": opening.minutes_within(0.5) if opening else None,
        "minutes_likely": opening.minutes_within(0.8) if opening else None,
    }


def _moments(steps: Sequence[Step], checks: Sequence[int]) -> dict[str, int]:
    """How many steps the sheet had at opening and after so many checks; one that ended sooner keeps its last place."""
    complaint = complaint_steps(steps)
    opening = max((i for i, step in enumerate(steps) if step in complaint), default=-1) + 1
    later = {str(n): checks[n - 1] + 1 if len(checks) >= n else len(steps) for n in AFTER_CHECKS}
    return {OPENING: opening, **later}


def _snapshots(sheet: FaultSheet, steps: Sequence[Step]) -> dict[int, Snapshot]:
    wanted = {pk for step in steps for pk in (step.before_id, step.after_id) if pk}
    columns = ("log_odds", "remaining_minutes", "handed_over_share")
    return sheet.snapshots.only("pk", "sheet_id", *columns).in_bulk(wanted)


def _after(steps: Sequence[Step], count: int, snapshots: Mapping[int, Snapshot]) -> Snapshot | None:
    """The ranking once so many steps were there."""
    made = [row for step in steps[:count] if (row := snapshots.get(step.after_id or 0))]
    return made[-1] if made else None


def _ranks(
    confirmed: Sequence[Confirmed],
    steps: Sequence[Step],
    expanded: EngineKnowledge,
    moments: Mapping[str, int],
    snapshots: Mapping[int, Snapshot],
) -> Iterator[tuple[str, int]]:
    """The best rank of what was wrong, among everything suspected that was not confirmed; what has been treated keeps
    the place it had then, for the ranking is of what is wrong now."""
    wanted = {one.cause for one in confirmed if one.role == "cause"}
    treated = next(
        (i for i, step in enumerate(steps) if step.kind == "remedy" and wanted & set(step.causes)), len(steps)
    )
    for moment, there in moments.items() if wanted else ():
        count = min(there, treated)
        snapshot = _after(steps, count, snapshots)
        if snapshot is not None:
            suspected = suspected_causes(steps[:count], expanded)
            suspects = {cause: probability(odds) for cause, odds in snapshot.log_odds.items() if cause in suspected}
            ranks = ranks_of_confirmed({one.cause for one in confirmed}, suspects)
            yield moment, min(ranks[cause] for cause in wanted)


def _predictions(steps: Sequence[Step], snapshots: Mapping[int, Snapshot]) -> Iterator[tuple[float, bool]]:
    """The probability of "found" just before each examination, its reliability counted in, and whether it was."""
    for step in steps:
        before = snapshots.get(step.before_id or 0)
        if step.kind == "inspection" and before is not None and step.cause in before.log_odds:
            p = probability(before.log_odds[step.cause])
            right, wrong = step.sensitivity or 0.9, step.false_alarm or 0.05
            yield round(p * right + (1.0 - p) * wrong, 6), bool(step.present)


def minutes_of(steps: Sequence[Step], expanded: EngineKnowledge) -> float:
    """What was done, as the knowledge prices it: the minutes of each step, and of parts off and back for it."""
    done = [step for step in steps if step.action and step.kind in DONE]
    placed = [expanded.checks.get(step.action) or expanded.remedies.get(step.action) for step in done]
    attended = sum(action.entry.minutes for action in placed if action is not None)
    offs = [frozenset(step.state.get("off", [])) for step in steps]
    return attended + sum(_moving(before, after, expanded) for before, after in pairwise(offs))


def _moving(before: frozenset[str], after: frozenset[str], expanded: EngineKnowledge) -> float:
    parts = {name: part.entry for name, part in expanded.parts.items() if not part.entry.is_state}
    off = sum(parts[name].minutes_off for name in after - before if name in parts)
    return off + sum(parts[name].minutes_refit for name in before - after if name in parts)


def _system(confirmed: Sequence[Confirmed], expanded: EngineKnowledge) -> str:
    """Of the first confirmed cause; the unlisted cause has none."""
    causes = [expanded.causes[one.cause] for one in confirmed if one.role == "cause" and one.cause in expanded.causes]
    return next((placed.entry.system for placed in causes if placed.id != UNLISTED), "")
