"""Prints how the knowledge stands as a whole: python -m restorations.knowledge.report [folder]."""

from __future__ import annotations

import sys
from collections.abc import Iterator
from pathlib import Path

from restorations.knowledge.configuration import Configuration
from restorations.knowledge.engine import EngineKnowledge
from restorations.knowledge.expansion import UNLISTED, expand
from restorations.knowledge.loader import SHIPPED, Knowledge, survey
from restorations.knowledge.reference_engines import REFERENCE_ENGINES, REFERENCE_PASTS
from restorations.knowledge.rules import in_use
from restorations.knowledge.telling_apart import pairs_not_told_apart

EXPECTED_WHEN_IDLE = (2.0, 4.0)
IDLE = "idle for years"


def expected_causes(engine: EngineKnowledge) -> float:
    """Return how many listed causes are expected to be present on an engine before anything is seen."""
    return sum(cause.probability for cause in engine.causes.values() if cause.id != UNLISTED)


def is_as_meant(expected: float) -> bool:
    """Say whether an engine idle for years is expected to have as many faults as meant, to one decimal.

    The rates come from four frequency words; they carry no second decimal.
    """
    low, high = EXPECTED_WHEN_IDLE
    return low <= round(expected, 1) <= high


def report(knowledge: Knowledge) -> Iterator[str]:
    """Give the lines of the report."""
    yield from _counts(knowledge)
    for name, configuration in REFERENCE_ENGINES.items():
        yield from _engine(name, configuration, knowledge)
    yield from _gaps(knowledge)


def _counts(knowledge: Knowledge) -> Iterator[str]:
    for kind in ("causes", "findings", "checks", "remedies", "parts", "conditions"):
        entries = getattr(knowledge, kind)
        yield f"{kind:<12}{len(in_use(entries)):>5} in use, {len(entries) - len(in_use(entries))} not"
    yield f"{'sources':<12}{len(knowledge.sources):>5}"
    yield f"{'links':<12}{sum(len(finding.links) for finding in in_use(knowledge.findings)):>5}"


def _engine(name: str, configuration: Configuration, knowledge: Knowledge) -> Iterator[str]:
    engines = {past: expand(knowledge, configuration, history) for past, history in REFERENCE_PASTS.items()}
    idle = engines[IDLE]
    looks = sum(bool(check.entry.answers) for check in idle.checks.values())
    most = max((len(finding.links) for finding in idle.findings.values()), default=0)
    yield f"\n{name}"
    yield f"  {len(idle.causes)} causes, {len(idle.findings)} findings, at most {most} causes to a finding"
    examinations, remedies = len(idle.checks) - looks, len(idle.remedies)
    candidates = looks + examinations + remedies
    yield f"  {candidates} candidates: {looks} looks, {examinations} examinations, {remedies} remedies"
    numbers = {past: expected_causes(engine) for past, engine in engines.items()}
    low, high = EXPECTED_WHEN_IDLE
    verdict = "" if is_as_meant(numbers[IDLE]) else f"   <- {low:g} to {high:g} was meant for {IDLE}"
    yield "  expected present: " + ", ".join(f"{past} {number:.2f}" for past, number in numbers.items()) + verdict


def _gaps(knowledge: Knowledge) -> Iterator[str]:
    checks = in_use(knowledge.checks)
    answered = {check.answers for check in checks}
    examined = {check.examines for check in checks}
    yield from _listed("causes not told apart", [" / ".join(pair) for pair in pairs_not_told_apart(knowledge)])
    yield from _listed("findings no check answers", sorted(set(knowledge.findings) - answered))
    yield from _listed("causes no check examines", sorted(set(knowledge.causes) - examined))


def _listed(title: str, names: list[str]) -> Iterator[str]:
    yield f"\n{title}: {len(names)}"
    yield from (f"  {name}" for name in names)


def main(arguments: list[str]) -> int:
    """Print offenders and report; 1 where there are offenders."""
    knowledge, offenders = survey(Path(arguments[0]) if arguments else SHIPPED)
    for offender in sorted(set(offenders)):
        print(offender)
    print(f"{len(set(offenders))} offender(s)\n")
    if not offenders:
        print("\n".join(report(knowledge)))
    return 1 if offenders else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
