"""How long one posterior of every cause takes, the project against pyAgrum, in one run on one machine.

    .venv/bin/python -m tests.benchmarks.diagnosis_speed [engines per line] [engines put to pyAgrum]

150 causes, 100 findings, 20 seen absent, 10 to 40 seen present after three true causes or more. Both sides run in
processes of their own with one thread for linear algebra, models built beforehand; pyAgrum is stopped after 20 s or at
6 GB. It is asked twice: the model as it stands, and helped: absent findings folded into the priors by hand, each
present one a chain of two-parent ORs. The project's time on an engine is the best of seven, so that a busy machine
counts less; the library's is of one run.
"""

import json
import os
import resource
import subprocess
import sys
import time
from collections.abc import Callable
from dataclasses import asdict
from pathlib import Path
from statistics import median
from typing import Any

import numpy as np

from restorations.calc.diagnosis import CausalModel, Observed, TooEntangled, posterior
from tests.benchmarks.random_engines import Shape, make_evidence, make_model

RUNS, SECONDS, BYTES = 7, 20, 6 << 30
ABSENT = 20
PRESENT = (10, 20, 30, 40)
LINES = {
    "modular, 4-12 parents": Shape(),
    "modular, 4-12 parents, unlisted cause": Shape(unlisted=True),
    "modular, 2-6 parents": Shape(True, 2, 6),
    "uniform, 4-12 parents": Shape(False),
}
AIMS = {
    ("modular, 4-12 parents", 20): 6.0,
    ("modular, 4-12 parents, unlisted cause", 20): 13.0,
    ("modular, 2-6 parents", 40): 15.0,
}
Result = dict[str, Any]


def project(model: dict[str, Any], looks: list[Observed]) -> Result:
    """Best time of several runs on one engine [ms], and the answer."""
    engine = CausalModel.from_mapping(model)
    times, now = [], None
    for _ in range(RUNS):
        start = time.perf_counter()
        try:
            now = posterior(engine, looks).now
        except TooEntangled:
            now = None
        times.append(1e3 * (time.perf_counter() - start))
    return {"ms": min(times), "now": now}


def reference(model: dict[str, Any], looks: list[Observed]) -> Result:
    """pyAgrum, the model as it stands."""
    from tests.external.reference_network import answer, noisy_or_network

    _limit_memory()
    net = noisy_or_network(model)
    start = time.perf_counter()
    now, _ = answer(net, list(model["causes"]), {look.finding: look.level for look in looks})
    return {"ms": 1e3 * (time.perf_counter() - start), "now": now}


def reference_helped(model: dict[str, Any], looks: list[Observed]) -> Result:
    """pyAgrum, with the evidence reduced by hand and every noisy-OR a chain of two-parent ORs."""
    from tests.external.reference_network import answer, draw_by_draw_network

    _limit_memory()
    present = [look for look in looks if look.level]
    net = draw_by_draw_network(_fold_absent(model, looks), present)
    start = time.perf_counter()
    now, _ = answer(net, list(model["causes"]), {f"look{i}": 1 for i in range(len(present))})
    return {"ms": 1e3 * (time.perf_counter() - start), "now": now}


def _fold_absent(model: dict[str, Any], looks: list[Observed]) -> dict[str, Any]:
    causes = {}
    for cause, prior in model["causes"].items():
        odds = prior / (1.0 - prior)
        for look in looks:
            if not look.level:
                odds *= 1.0 - model["findings"][look.finding]["links"].get(cause, [0.0])[0]
        causes[cause] = odds / (1.0 + odds)
    findings = {look.finding: model["findings"][look.finding] for look in looks if look.level}
    return {"causes": causes, "findings": findings}


def _limit_memory() -> None:
    resource.setrlimit(resource.RLIMIT_AS, (BYTES, BYTES))


ENGINES: dict[str, Callable[[dict[str, Any], list[Observed]], Result]] = {
    "project": project,
    "reference": reference,
    "reference_helped": reference_helped,
}


def work(job: Result) -> Result:
    """Do one job in this process: one engine, one way."""
    rng = np.random.default_rng(job["seed"])
    model = make_model(Shape(**job["shape"]), rng)
    looks = make_evidence(model, job["present"], ABSENT, rng)
    try:
        return ENGINES[job["engine"]](model, looks)
    except Exception as error:  # the library has no class of its own for this
        if isinstance(error, MemoryError) or "bad_alloc" in str(error):
            return {"failed": "out of memory"}
        raise


def ask(engine: str, shape: Shape, present: int, seed: int) -> Result:
    """Do one job in a process of its own."""
    job = {"engine": engine, "shape": asdict(shape), "present": present, "seed": seed}
    try:
        done = subprocess.run(  # noqa: S603 - this very file
            [sys.executable, "-m", "tests.benchmarks.diagnosis_speed", "--job", json.dumps(job)],
            env={**os.environ, "OPENBLAS_NUM_THREADS": "1", "OMP_NUM_THREADS": "1"},
            cwd=Path(__file__).parents[2],
            capture_output=True,
            text=True,
            timeout=SECONDS,
            check=False,
        )
    except subprocess.TimeoutExpired:
        return {"failed": f"over {SECONDS} s"}
    if done.returncode:
        return {"failed": f"ended by {done.stderr.strip().splitlines()[-1:] or done.returncode}"}
    answered: Result = json.loads(done.stdout)
    return answered


def _spoken(results: list[Result]) -> str:
    times = [result["ms"] for result in results if "ms" in result]
    failed = sorted({result["failed"] for result in results if "failed" in result})
    return ", ".join([*([f"{median(times):.0f} ms ({len(times)} of {len(results)})"] if times else []), *failed])


def _line(name: str, shape: Shape, present: int, engines: int, references: int) -> float:
    """Print one line of the table; return the greatest difference between the answers."""
    ours = [ask("project", shape, present, seed) for seed in range(engines)]
    times = [r["ms"] for r in ours if r["now"] is not None]
    refused = [r["ms"] for r in ours if r["now"] is None]
    theirs = {e: [ask(e, shape, present, seed) for seed in range(references)] for e in list(ENGINES)[1:]}
    differences = [
        abs(our["now"][cause] - p)
        for results in theirs.values()
        for our, their in zip(ours, results, strict=False)
        if our["now"] and their.get("now")
        for cause, p in their["now"].items()
    ]
    aim = AIMS.get((name, present))
    median_time = f"{median(times):8.1f} {max(times):8.1f}" if times else f"{'-':>8} {'-':>8}"
    print(
        f"{name:38} {present:3} {median_time} {f'<= {aim:g}' if aim else '':>6} "
        f"{f'{len(refused)} in {max(refused):.0f} ms' if refused else '-':>13}   "
        f"{_spoken(theirs['reference']):28} {_spoken(theirs['reference_helped'])}",
        flush=True,
    )
    return max(differences, default=0.0)


def main(engines: int, references: int) -> None:
    """Print the table."""
    print(f"{engines} engines a line, {references} of them put to pyAgrum; load {os.getloadavg()[0]:.1f}")
    head = f"{'':38} {'K':>3} {'median':>8} {'longest':>8} {'aim':>6} {'refused':>13}"
    print(f"{head}   {'pyAgrum as it stands':28} pyAgrum helped")
    differences = [
        _line(name, shape, present, engines, references) for name, shape in LINES.items() for present in PRESENT
    ]
    print(f"times in ms; greatest difference from pyAgrum in any posterior: {max(differences):.1e}")


if __name__ == "__main__":
    if sys.argv[1:2] == ["--job"]:
        print(json.dumps(work(json.loads(sys.argv[2]))))
    else:
        numbers = [int(word) for word in sys.argv[1:]]
        main(*(numbers + [10, 3][len(numbers) :]))
