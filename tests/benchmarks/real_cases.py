"""Prints how published repairs fare: `python -m tests.benchmarks.real_cases [--write]`.

`--write` also keeps the counts for the page on how well the ranking does.
"""

import json
import sys
from collections import defaultdict
from collections.abc import Sequence
from datetime import UTC, datetime
from pathlib import Path

from restorations.knowledge import load
from tests.external.real_cases import HALVES, Outcome, judge, read_cases, read_left_out

SHIPPED_BENCHMARK = Path(__file__).parents[2] / "restorations/faults/shipped_benchmark.json"  # read by how_well.py
WEAKEST = 10
FEW_CHECKS = 4


def main() -> None:
    outcomes = {half: [judge(case) for case in read_cases(half)] for half in HALVES}
    both = [one for half in HALVES for one in outcomes[half]]
    _lines(both)
    for half in HALVES:
        for case, why in read_left_out(half).items():
            print(f"{case:6} left out: {why}")
    for half, of_half in {**outcomes, "both": both}.items():
        print(f"\n{half}, {len(of_half)} cases")
        _summary(of_half)
    _owners(both)
    _weakest(both)
    if "--write" in sys.argv[1:]:
        _write({**outcomes, "both": both})


def _lines(outcomes: Sequence[Outcome]) -> None:
    print("case   ranks of the confirmed causes (among those not confirmed)   advised checks to be first   evidence")
    for one in outcomes:
        checks = "never" if one.checks is None else one.checks
        print(f"{one.case.id:6} {one.ranks!s:20} {checks!s:6} {one.case.evidence}".rstrip())


def _leading(outcomes: Sequence[Outcome], limit: int) -> int:
    return sum(min(one.ranks) <= limit for one in outcomes)


def _within_few(outcomes: Sequence[Outcome]) -> int:
    return sum(one.checks is not None and one.checks <= FEW_CHECKS for one in outcomes)


def _summary(outcomes: Sequence[Outcome]) -> None:
    print(f"  leading confirmed cause: {_shares([min(one.ranks) for one in outcomes])}")
    print(f"  every confirmed cause:   {_shares([rank for one in outcomes for rank in one.ranks])}")
    within = _within_few(outcomes)
    share = f"{within} of {len(outcomes)} ({within / len(outcomes):.0%})"
    print(f"  first after at most {FEW_CHECKS} advised checks: {share}")


def _shares(ranks: Sequence[int]) -> str:
    counts = {limit: sum(rank <= limit for rank in ranks) for limit in (1, 3, 5)}
    return ", ".join(f"{n} of {len(ranks)} ({n / len(ranks):.0%}) in the first {limit}" for limit, n in counts.items())


def _owners(outcomes: Sequence[Outcome]) -> None:
    """An owner with many cases counts once, or the figures would praise the knowledge of one person's habits."""
    by_owner = defaultdict(list)
    for one in outcomes:
        by_owner[one.case.owner].append(one)
    print("\nby owner")
    for owner, theirs in sorted(by_owner.items()):
        if len(theirs) > 1:
            counts = f"{_leading(theirs, 3)} in the first 3, {_within_few(theirs)} in few checks"
            print(f"  {owner}: {len(theirs)} cases, {counts}")
    share = sum(_leading(theirs, 3) / len(theirs) for theirs in by_owner.values()) / len(by_owner)
    few = sum(_within_few(theirs) / len(theirs) for theirs in by_owner.values()) / len(by_owner)
    print(f"  each of {len(by_owner)} owners counted once: {share:.0%} in the first 3, {few:.0%} in few checks")


def _weakest(outcomes: Sequence[Outcome]) -> None:
    print(f"\nweakest {WEAKEST}, and who stands before")
    for one in sorted(outcomes, key=lambda one: -min(one.ranks))[:WEAKEST]:
        print(f"  {one.case.id:6} {min(one.ranks):3} {', '.join(one.before[:8])}")


def _write(halves: dict[str, list[Outcome]]) -> None:
    counts = {
        half: {
            "cases": len(of_half), "first": _leading(of_half, 1), "first_3": _leading(of_half, 3),
            "first_5": _leading(of_half, 5), "first_within_4_checks": _within_few(of_half),
        }
        for half, of_half in halves.items()
    }  # fmt: skip
    written = {"knowledge": load().checksum, "made_on": datetime.now(UTC).date().isoformat(), "halves": counts}
    SHIPPED_BENCHMARK.write_text(json.dumps(written, indent=2) + "\n", encoding="utf-8")
    print(f"\nwritten to {SHIPPED_BENCHMARK}")


if __name__ == "__main__":
    main()
