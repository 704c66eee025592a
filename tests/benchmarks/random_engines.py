"""Invented engines of a stated size for the speed benchmark, and evidence simulated from true causes."""

from dataclasses import dataclass
from typing import Any

import numpy as np

from restorations.calc.diagnosis.history import Observed

UNLISTED = "unlisted"


@dataclass(frozen=True)
class Shape:
    """How an invented engine is built: `modular` engines have 10 subsystems and 15 % stray links."""

    modular: bool = True
    fewest_parents: int = 4
    most_parents: int = 12
    unlisted: bool = False
    causes: int = 150
    findings: int = 100


def make_model(shape: Shape, rng: np.random.Generator) -> dict[str, Any]:
    """Return a model mapping with findings of two levels."""
    systems = 10
    causes = {f"cause{i}": float(np.exp(rng.uniform(np.log(0.002), np.log(0.05)))) for i in range(shape.causes)}
    findings = {}
    for j in range(shape.findings):
        own = np.arange(shape.causes)[np.arange(shape.causes) % systems == j % systems]
        parents: set[int] = set()
        size = int(rng.integers(shape.fewest_parents, shape.most_parents + 1))
        while len(parents) < size:
            stray = not shape.modular or rng.random() < 0.15
            parents.add(int(rng.integers(shape.causes) if stray else rng.choice(own)))
        links = {f"cause{i}": [float(rng.uniform(0.2, 0.95))] for i in sorted(parents)}
        findings[f"finding{j}"] = {"leak": [float(rng.uniform(0.001, 0.02))], "links": links}
    if shape.unlisted:
        causes[UNLISTED] = 0.05
        for finding in findings.values():
            finding["links"][UNLISTED] = [0.3]
    return {"causes": causes, "findings": findings}


def make_evidence(model: dict[str, Any], present: int, absent: int, rng: np.random.Generator) -> list[Observed]:
    """Add true causes, three at least, until enough findings show; return that many present and absent ones."""
    names = [name for name in model["causes"] if name != UNLISTED]
    true: list[str] = []
    while True:
        true.append(str(rng.choice([name for name in names if name not in true])))
        seen, unseen = _simulate(model, true, rng)
        if len(true) >= 3 and len(seen) >= present and len(unseen) >= absent:
            break
    chosen = [*(str(f) for f in rng.choice(seen, present, replace=False))]
    quiet = [*(str(f) for f in rng.choice(unseen, absent, replace=False))]
    return [*(Observed(f, 1) for f in chosen), *(Observed(f, 0) for f in quiet)]


def _simulate(model: dict[str, Any], true: list[str], rng: np.random.Generator) -> tuple[list[str], list[str]]:
    seen, unseen = [], []
    for name, finding in model["findings"].items():
        quiet = 1.0 - finding["leak"][0]
        for cause in true:
            quiet *= 1.0 - finding["links"].get(cause, [0.0])[0]
        (unseen if rng.random() < quiet else seen).append(name)
    return seen, unseen
