"""How long advice takes on a large engine: 60 candidates, 150 causes, 100 findings, 20 present, 20 absent.

Run with `python -m tests.benchmarks.advice_speed [--cases N]`. The posterior and the samples, which advice needs first,
are timed beside it in the same run, so that the ratio means the same on any machine.
"""

from __future__ import annotations

from statistics import median
from time import perf_counter
from typing import Any

import numpy as np

from restorations.calc.diagnosis import (
    CausalModel,
    Examination,
    Look,
    Observed,
    Options,
    Part,
    Remedy,
    advise,
    posterior,
)
from tests.benchmarks.asked import cases_asked
from tests.benchmarks.random_engines import UNLISTED, Shape, make_evidence, make_model

CANDIDATES = 60
SAMPLES = 4000


def large_options(model: CausalModel, history: list[Observed], rng: np.random.Generator) -> Options:
    """24 looks at findings not seen yet, 4 at the complaint with a part off, 12 examinations, 20 remedies."""
    shares = posterior(model, history).now
    suspects = [c for c in sorted(shares, key=lambda cause: -shares[cause]) if c != UNLISTED]
    parts = {f"part{i}": Part(float(rng.uniform(2, 20)), float(rng.uniform(2, 20))) for i in range(20)}
    seen = {look.finding for look in history}
    complaint = history[0].finding
    needs = [frozenset(str(p) for p in rng.choice(sorted(parts), rng.integers(0, 3), replace=False)) for _ in range(60)]
    unseen = [finding for finding in model.findings if finding not in seen]
    looks = [Look(f"look {f}", f, 5.0, needs_off=needs.pop()) for f in unseen[:24]]
    for part in sorted(parts)[:4]:
        silenced = {cause: (frozenset({part}),) for cause in suspects[:6] if rng.random() < 0.5}
        looks.append(Look(f"{part} off", complaint, 4.0, needs_off=frozenset({part}), through=silenced))
    return Options(
        looks=tuple(looks),
        examinations=tuple(
            Examination(f"examine {c}", c, 0.95, 0.02, 10.0, needs_off=needs.pop()) for c in suspects[:12]
        ),
        remedies=tuple(
            Remedy(f"cure {c}", frozenset({c}), 0.9, float(rng.uniform(5, 120)), needs_off=needs.pop())
            for c in suspects[:20]
        ),
        parts=parts,
        off=frozenset(),
        complaint=(complaint, history[1].finding),
        test_minutes=10.0,
        price_per_risk=10.0,
        price_per_day=5.0,
        hand_over_minutes=600.0,
    )


def timed(action: Any, repeats: int) -> float:
    """Median milliseconds."""
    times = []
    for _ in range(repeats):
        start = perf_counter()
        action()
        times.append(1000.0 * (perf_counter() - start))
    return median(times)


def one_engine(shape: Shape, seed: int, repeats: int) -> tuple[float, float, float, int]:
    """Milliseconds of posterior, of samples on top of it, of advice in all, and how many steps were ranked."""
    rng = np.random.default_rng(seed)
    mapping = make_model(shape, rng)
    model, history = CausalModel.from_mapping(mapping), make_evidence(mapping, 20, 20, rng)
    options = large_options(model, history, rng)
    result = posterior(model, history)
    ranked = len(advise(model, history, options, samples=SAMPLES))
    return (
        timed(lambda: posterior(model, history), repeats),
        timed(lambda: result.trajectories(SAMPLES, 1), repeats),
        timed(lambda: advise(model, history, options, samples=SAMPLES), repeats),
        ranked,
    )


def main(engines: int, repeats: int = 5) -> None:
    """Print one line for each shape of engine: medians over engines, the slowest in brackets."""
    print(
        f"Advice, {CANDIDATES} candidates, 150 x 100, 20 present, {SAMPLES} samples; ms, median (slowest) of {engines}"
    )
    print(f"{'engine':<22}{'posterior':>16}{'samples':>16}{'advice in all':>18}{'steps ranked':>14}")
    for name, shape in {"modular": Shape(), "modular, unlisted": Shape(unlisted=True)}.items():
        rows = np.array([one_engine(shape, seed, repeats) for seed in range(engines)])
        middle, worst = np.median(rows, axis=0), rows.max(axis=0)
        cells = [f"{m:.1f} ({w:.1f})" for m, w in zip(middle[:3], worst[:3], strict=True)]
        print(f"{name:<22}{cells[0]:>16}{cells[1]:>16}{cells[2]:>18}{middle[3]:>14.0f}")


if __name__ == "__main__":
    main(cases_asked(10))
