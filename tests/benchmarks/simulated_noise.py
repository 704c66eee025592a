"""What it costs to follow advice from a knowledge whose every number is out.

Run with `python -m tests.benchmarks.simulated_noise [--cases N] [--sd SD]`. The worlds stay as the knowledge has them;
the advice is taken from a copy of it with normal noise on the log-odds of every rate, leak, strength, sensitivity,
false alarm and success, drawn anew for each case. Both are followed to the end in the same worlds.
"""

from __future__ import annotations

import argparse
import os
from functools import partial
from statistics import mean, stdev

from restorations.knowledge import expand, load
from restorations.knowledge.reference_engines import REFERENCE_ENGINES, REFERENCE_PASTS
from tests.benchmarks.simulated_faults import KINDS, Runs, side_by_side
from tests.benchmarks.ways import by_advice, follow
from tests.benchmarks.worlds import Case, cases, noisy

CASES, SD = 40, 0.5
CHOSEN = ("one at work", "two at work", "drawn from the rates")


def run(case: Case, sd: float) -> dict[str, Runs]:
    """The advice of the knowledge as it is, and of one whose numbers are out, in every kind of world."""
    out_by = noisy(load(), sd, case.seed)
    solver = expand(out_by, REFERENCE_ENGINES[case.engine], REFERENCE_PASTS[case.past])
    found = {}
    for kind in CHOSEN:
        right, wrong = KINDS[kind](case), KINDS[kind](case)
        if right and wrong:
            found[kind] = {"right": follow(by_advice, right), "wrong": follow(by_advice, wrong, solver)}
    return found


def print_kind(kind: str, ran: list[Runs]) -> None:
    right, wrong = ([one[name].minutes for one in ran] for name in ("right", "wrong"))
    dearer = [there - here for here, there in zip(right, wrong, strict=True)]
    error = stdev(dearer) / len(dearer) ** 0.5 if len(dearer) > 1 else 0.0
    over = [mean(not one[name].gone for one in ran) for name in ("right", "wrong")]
    print(
        f"{kind:<26}{len(ran):>6}{mean(right):9.0f}{mean(wrong):9.0f}{mean(dearer) / mean(right):9.1%}"
        f" ±{error / mean(right):6.1%}{over[0]:11.1%}{over[1]:9.1%}"
    )


def main() -> None:
    """Print one line for each kind of world, and one for all."""
    parser = argparse.ArgumentParser()
    parser.add_argument("--cases", type=int, default=CASES)
    parser.add_argument("--sd", type=float, default=SD)
    asked = parser.parse_args()
    ran = side_by_side(partial(run, sd=asked.sd), list(cases(asked.cases)))
    print(f"{asked.cases} cases, noise of sd {asked.sd} on the log-odds of every number the advice goes by")
    print(f"{'':<26}{'cases':>6}{'right':>9}{'noisy':>9}{'dearer':>9}{'':>8}{'given up':>11}{'noisy':>9}")
    for kind in CHOSEN:
        print_kind(kind, [one[kind] for one in ran if kind in one])
    print_kind("all", [runs for one in ran for runs in one.values()])


if __name__ == "__main__":
    os.environ.setdefault("OMP_NUM_THREADS", "1")
    main()
