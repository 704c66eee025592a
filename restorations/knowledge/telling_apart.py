"""Finds pairs of causes that share a finding and that nothing tells apart."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import combinations
from typing import TYPE_CHECKING

from restorations.knowledge.rules import in_use
from restorations.knowledge.tables import Offender

if TYPE_CHECKING:
    from restorations.knowledge.loader import Knowledge

LEAST_DIFFERENCE = 0.2
LEAST_SENSITIVITY = 0.8
MOST_FALSE_ALARM = 0.1
_ROUNDING = 1e-9

Strengths = dict[tuple[str, str], tuple[float, ...]]


def not_told_apart(knowledge: Knowledge) -> list[Offender]:
    """List each cause with those it shares a finding with and cannot be told from."""
    found = []
    for first, second in pairs_not_told_apart(knowledge):
        expected = (
            f"not told apart from {second!r}: expected strengths {LEAST_DIFFERENCE} apart at some level of some "
            f"finding, or an examination of either with sensitivity of {LEAST_SENSITIVITY} or more "
            f"and false alarm of {MOST_FALSE_ALARM} or less"
        )
        found.append(Offender(knowledge.causes[first].file, first, "", expected))
    return found


def pairs_not_told_apart(knowledge: Knowledge) -> list[tuple[str, str]]:
    """Return the pairs of causes in use that share a finding and that no finding or examination separates."""
    examined = _well_examined(knowledge)
    linked = _linked(knowledge)
    return [pair for pair in _sharing(linked) if not examined & set(pair) and not _differ(*pair, linked)]


def _well_examined(knowledge: Knowledge) -> set[str]:
    checks = [check for check in in_use(knowledge.checks) if check.examines]
    return {
        check.examines
        for check in checks
        if check.sensitivity >= LEAST_SENSITIVITY and check.false_alarm <= MOST_FALSE_ALARM
    }


def _linked(knowledge: Knowledge) -> dict[str, Strengths]:
    """Return per finding the strengths of each cause; across the sides is another way of showing than on one side."""
    causes = {cause.id for cause in in_use(knowledge.causes)}
    return {
        finding.id: {(link.cause, link.across): link.strengths for link in finding.links if link.cause in causes}
        for finding in in_use(knowledge.findings)
    }


def _sharing(linked: dict[str, Strengths]) -> list[tuple[str, str]]:
    sharing: set[tuple[str, str]] = set()
    for strengths in linked.values():
        sharing.update(combinations(sorted({cause for cause, _ in strengths}), 2))
    return sorted(sharing)


def _differ(first: str, second: str, linked: dict[str, Strengths]) -> bool:
    return any(
        difference >= LEAST_DIFFERENCE - _ROUNDING
        for strengths in linked.values()
        for difference in _differences(first, second, strengths)
    )


def _differences(first: str, second: str, strengths: Strengths) -> Iterator[float]:
    steps = max((len(numbers) for numbers in strengths.values()), default=0)
    nothing = (0.0,) * steps
    for across in ("", "other_side"):
        here = strengths.get((first, across), nothing)
        there = strengths.get((second, across), nothing)
        yield from (abs(a - b) for a, b in zip(here, there, strict=False))
