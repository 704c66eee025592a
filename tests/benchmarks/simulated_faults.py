"""Faults drawn from the knowledge itself, put to the advice and followed to the end.

Run with `python -m tests.benchmarks.simulated_faults [--cases N] [--trace]`. A case is a reference engine, a past and a
complaint; for each there is a world with one, two and three faults at work in the complaint, one with faults that have
a sound twin on the other side, and one drawn from the rates alone. The advice as a sheet weighs it is followed to the
end in the same worlds as: the remedy with most chance per minute, with a test after each; a fixed list of examinations,
commonest cause first; and somebody who knows what is wrong. Minutes carry waiting and risk at their prices; what a way
does not end is handed over at its price. So the table says how good the advice is where the knowledge is right, never
whether it is; `simulated_noise` says what comes of it where every number is out.
"""

from __future__ import annotations

import argparse
import os
from collections.abc import Callable
from concurrent.futures import ProcessPoolExecutor
from functools import partial
from statistics import mean, median, stdev

from tests.benchmarks.ways import WAYS, Followed, follow
from tests.benchmarks.worlds import Case, Start, cases, from_rates, with_faults

CASES = 50
KINDS: dict[str, Callable[[Case], Start | None]] = {
    "one at work": partial(with_faults, faults=1),
    "two at work": partial(with_faults, faults=2),
    "three at work": partial(with_faults, faults=3),
    "one, its twin sound": partial(with_faults, faults=1, sided=True),
    "drawn from the rates": from_rates,
}
Runs = dict[str, Followed]


def run(case: Case) -> dict[str, Runs]:
    """Every way through every kind of world that a case has."""
    kinds = [kind for kind, make in KINDS.items() if make(case)]
    return {kind: {name: follow(way, KINDS[kind](case)) for name, way in WAYS.items()} for kind in kinds}


def side_by_side(work: Callable[[Case], dict[str, Runs]], drawn: list[Case]) -> list[dict[str, Runs]]:
    """The work on every case, on two cores."""
    with ProcessPoolExecutor(2) as pool:
        return list(pool.map(work, drawn, chunksize=1))


def row(name: str, ran: list[Followed], yardstick: float) -> str:
    minutes = [one.minutes for one in ran]
    error = stdev(minutes) / len(minutes) ** 0.5 if len(minutes) > 1 else 0.0
    over = mean(not one.gone for one in ran)
    return (
        f"{name:<30}{mean(minutes):8.0f} ±{error:4.0f}{median(minutes):8.0f}{mean(minutes) / yardstick:8.0%}"
        f"{mean(one.checks for one in ran):7.1f}{mean(one.cures for one in ran):8.1f}"
        f"{mean(one.wrong_side for one in ran):8.2f}{over:9.1%}"
    )


def print_kinds(ran: list[dict[str, Runs]]) -> None:
    for kind in KINDS:
        print(f"\n{kind:<30}{'minutes':>14}{'median':>8}{'share':>8}{'looks':>7}{'cures':>8}{'twin':>8}{'given up':>9}")
        each = {name: [one[kind][name] for one in ran if kind in one] for name in WAYS}
        yardstick = mean(one.minutes for one in each["chance per minute, test each"])
        for name, followed in each.items():
            print(row(name, followed, yardstick))


def print_engines(drawn: list[Case], ran: list[dict[str, Runs]]) -> None:
    print(f"\n{'advice / chance per minute':<36}{'cases':>6}" + "".join(f"{kind[:14]:>16}" for kind in KINDS))
    for engine in sorted({case.engine for case in drawn}):
        chosen = [one for case, one in zip(drawn, ran, strict=True) if case.engine == engine]
        print(f"{engine:<36}{len(chosen):>6}" + "".join(f"{share_of(chosen, kind):>16}" for kind in KINDS))


def share_of(ran: list[dict[str, Runs]], kind: str) -> str:
    found = [one[kind] for one in ran if kind in one]
    minutes = {name: sum(runs[name].minutes for runs in found) for name in WAYS}
    return f"{minutes['advice'] / minutes['chance per minute, test each']:.0%}" if found else "-"


def main() -> None:
    """Print the tables."""
    parser = argparse.ArgumentParser()
    parser.add_argument("--cases", type=int, default=CASES)
    parser.add_argument("--trace", action="store_true")
    asked = parser.parse_args()
    drawn = list(cases(asked.cases))
    ran = side_by_side(run, drawn)
    print(f"{len(drawn)} cases; share: of the minutes of chance per minute, test each; twin: sound twins treated")
    print_kinds(ran)
    print_engines(drawn, ran)
    if asked.trace:
        for case, one in zip(drawn, ran, strict=True):
            for kind, runs in one.items():
                print(f"\n{case}, {kind}", *runs["advice"].log, sep="\n")


if __name__ == "__main__":
    os.environ.setdefault("OMP_NUM_THREADS", "1")
    main()
