"""Models and histories for the diagnosis tests: the worked example, and random small cases with mixed evidence."""

from dataclasses import dataclass
from typing import Any

import numpy as np

from restorations.calc.diagnosis import CausalModel, Event, Inspected, Observed, Remedied

STIFF_WHEELS = {
    "causes": {"left": 0.2, "right": 0.2, "box": 0.05},
    "findings": {
        "stiff": {"leak": [0.02, 0.005], "links": {"left": [0.8, 0.4], "right": [0.8, 0.4], "box": [0.7, 0.1]}}
    },
}


def stiff_wheels() -> CausalModel:
    """Two pistons and an axlebox, any of which makes the wheels stiff to turn."""
    return CausalModel.from_mapping(STIFF_WHEELS)


def stiff(level: int, *off: str, fresh: bool = False) -> Observed:
    """The wheels turned by hand, with some causes unable to act."""
    return Observed("stiff", level, frozenset(off), fresh)


@dataclass(frozen=True)
class Recipe:
    """What a random case is made of."""

    causes: int = 4
    findings: int = 3
    levels: int = 3
    events: int = 8
    density: float = 0.8
    certain: float = 0.0  # share of leaks that are 0 and of links that are 1


def random_case(seed: int, recipe: Recipe = Recipe()) -> tuple[CausalModel, list[Event]]:
    """A random model and a history of absent, graded, repeated, fresh looks, inspections and remedies."""
    rng = np.random.default_rng(seed)
    model = random_model(rng, recipe)
    return CausalModel.from_mapping(model), [random_event(rng, model) for _ in range(recipe.events)]


def random_model(rng: np.random.Generator, recipe: Recipe) -> dict[str, Any]:
    """A random model mapping; every finding has a leak and two levels or more."""
    causes = {f"cause{i}": float(rng.uniform(0.01, 0.5)) for i in range(recipe.causes)}
    findings = {}
    for j in range(recipe.findings):
        levels = int(rng.integers(1, recipe.levels))
        links = {c: _falling(rng, levels, 1.0) for c in causes if rng.random() < recipe.density}
        for strengths in links.values():
            strengths[0] = 1.0 if rng.random() < recipe.certain else strengths[0]
        leak = [0.0] * levels if rng.random() < recipe.certain else _falling(rng, levels, 0.1)
        findings[f"finding{j}"] = {"leak": leak, "links": links}
    return {"causes": causes, "findings": findings}


def _falling(rng: np.random.Generator, levels: int, most: float) -> list[float]:
    return [float(p) for p in most * np.cumprod(rng.uniform(0.2, 0.95, levels))]


def random_event(rng: np.random.Generator, model: dict[str, Any]) -> Event:
    """A look with probability 0.74, else a remedy or an inspection."""
    kind, causes = rng.random(), list(model["causes"])
    if kind < 0.74:
        finding = f"finding{rng.integers(len(model['findings']))}"
        level = int(rng.integers(len(model["findings"][finding]["leak"]) + 1))
        off = [c for c in causes if rng.random() < 0.25] if rng.random() < 0.6 else []
        return Observed(finding, level, frozenset(off), bool(rng.random() < 0.1))
    cause = str(rng.choice(causes))
    if kind < 0.87:
        return Remedied(cause, float(rng.uniform(0.3, 0.95)))
    return Inspected(cause, bool(rng.random() < 0.5), float(rng.uniform(0.7, 0.99)), float(rng.uniform(0.01, 0.2)))
