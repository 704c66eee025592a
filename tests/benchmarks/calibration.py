"""Whether causes are as likely as they are called, in worlds drawn from the model itself.

Run with `python -m tests.benchmarks.calibration [--cases N]`. For each case a complaint is chosen and a world is drawn
from the rates in which it shows, which is what the model is told; then looks, examinations and remedies are made that
are picked without a glance at the world, and answered by it. Predictions are the chances of all causes as the
complaint is told, after four looks, and after two examinations, a remedy, the function test and two looks more. If the
inference is exact, of the causes called 30 % likely three in ten are there. The standard error is the larger of two:
that of independent predictions, and that of independent cases whose own predictions hang together.
"""

from __future__ import annotations

import os
from collections.abc import Iterable, Iterator
from concurrent.futures import ProcessPoolExecutor

import numpy as np

from restorations.calc.diagnosis import ImpossibleEvidence, TooEntangled, posterior
from restorations.knowledge import UNLISTED
from tests.benchmarks.asked import cases_asked
from tests.benchmarks.bench import Bench
from tests.benchmarks.worlds import SEED, Case, cases, from_rates

CASES = 6000
DECILES = 10
STAGES = ("complaint alone", "after four looks", "after remedies too")
CERTAIN_ENOUGH = 100_000
Predicted = tuple[list[float], list[bool]]


def predictions(case: Case) -> list[Predicted]:
    """At each stage the chance of every cause, and whether it is there; fewer stages where inference gives up."""
    bench = Bench.at(from_rates(case))
    found = []
    try:
        for stage in _stages(bench, np.random.default_rng([SEED, case.seed, 1])):
            found.append(stage)
    except (ImpossibleEvidence, TooEntangled):
        pass
    return found


def _stages(bench: Bench, rng: np.random.Generator) -> Iterator[Predicted]:
    yield _called(bench)
    near = bench.solver.findings[bench.complaint].links.keys() - {UNLISTED}
    checks = sorted(bench.solver.checks.values(), key=lambda check: check.id)
    looks = [
        check.id for check in checks if check.entry.answers and near & bench.solver.findings[check.target].links.keys()
    ]
    examinations = [check.id for check in checks if check.entry.examines and check.target in near]
    remedies = sorted(remedy.id for remedy in bench.solver.remedies.values() if remedy.causes & near)
    _work(bench, rng.choice(looks, 4))
    yield _called(bench)
    _work(bench, [*rng.choice(examinations, 2), rng.choice(remedies), "", *rng.choice(looks, 2)])
    yield _called(bench)


def _work(bench: Bench, names: Iterable[str]) -> None:
    for name in names:
        bench.work(str(name))


def _called(bench: Bench) -> Predicted:
    now = posterior(bench.solver.model, bench.events).now
    return list(now.values()), [cause in bench.world.present for cause in now]


def table(each: list[Predicted]) -> list[tuple[int, float, float, float]]:
    """For every decile with predictions: how many, mean chance, share there, standard error over cases."""
    case = np.repeat(np.arange(len(each)), [len(p) for p, _ in each])
    p = np.concatenate([np.array(p) for p, _ in each])
    there = np.concatenate([np.array(there) for _, there in each])
    decile = np.minimum((p * DECILES).astype(int), DECILES - 1)
    rows = []
    for number in range(DECILES):
        inside = decile == number
        out_by = np.bincount(case[inside], weights=(there - p)[inside], minlength=len(each))
        count = int(inside.sum())
        alone = (p[inside] * (1.0 - p[inside])).sum()
        error = float(np.sqrt(max((out_by**2).sum(), alone))) / max(count, 1)
        rows.append(
            (count, float(p[inside].mean()), float(there[inside].mean()), error) if count else (0, 0.0, 0.0, 0.0)
        )
    return rows


def print_stage(title: str, each: list[Predicted]) -> bool:
    """Print the table of a stage; say whether it keeps within its bounds."""
    print(f"\n{title:<20}{'predictions':>12}{'called':>9}{'there':>9}{'differs':>10}{'errors':>8}")
    good = True
    for number, (count, called, there, error) in enumerate(table(each)):
        if not count:
            continue
        off = (there - called) / error if error else 0.0
        good &= abs(off) <= 3.0 and (count < CERTAIN_ENOUGH or abs(there - called) <= 0.005)
        span = f"{number / DECILES:8.0%} to {(number + 1) / DECILES:<8.0%}"
        print(f"{span}{count:12}{called:9.4f}{there:9.4f}{there - called:10.4f}{off:8.1f}")
    return good


def print_engines(drawn: list[Case], found: list[list[Predicted]]) -> None:
    """The decile that is furthest out for each kind of engine, all stages together."""
    print(f"\n{'engine':<36}{'cases':>7}{'predictions':>12}{'worst decile':>14}{'errors':>8}")
    for engine in sorted({case.engine for case in drawn}):
        each = [stages for case, stages in zip(drawn, found, strict=True) if case.engine == engine]
        joined = [([p for s in one for p in s[0]], [t for s in one for t in s[1]]) for one in each]
        rows = table(joined)
        off = [(there - called) / error if error else 0.0 for _, called, there, error in rows]
        worst = max(range(DECILES), key=lambda number: abs(off[number]))
        print(
            f"{engine:<36}{len(each):>7}{sum(row[0] for row in rows):>12}"
            f"{f'{worst / 10:.0%} to {(worst + 1) / 10:.0%}':>14}{off[worst]:8.1f}"
        )


def main() -> None:
    """Print a table for each stage and one of the engines."""
    drawn = list(cases(cases_asked(CASES)))
    with ProcessPoolExecutor(2) as pool:
        found = list(pool.map(predictions, drawn, chunksize=8))
    print(
        f"{len(drawn)} cases, predictions of all causes; {sum(len(one) < 3 for one in found)} cut short by entanglement"
    )
    good = [
        print_stage(title, [stages[number] for stages in found if len(stages) > number])
        for number, title in enumerate(STAGES)
    ]
    print_engines(drawn, found)
    print("\nwithin 3 standard errors, and 0.005 where there are 100,000:", "yes" if all(good) else "NO")


if __name__ == "__main__":
    os.environ.setdefault("OMP_NUM_THREADS", "1")
    main()
