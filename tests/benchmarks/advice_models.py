"""Random small diagnosis problems: few enough causes and checks that the best policy can be found exhaustively."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from restorations.calc.diagnosis.history import Event, Observed
from restorations.calc.diagnosis.model import CausalModel
from restorations.calc.diagnosis.options import Examination, Look, Options, Part, Remedy

COMPLAINT = "complaint"


@dataclass(frozen=True, slots=True)
class Case:
    """A model, what was seen first, and what can be done."""

    model: CausalModel
    history: tuple[Event, ...]
    options: Options


@dataclass(frozen=True, slots=True)
class Recipe:
    """What kind of cases to make."""

    causes: tuple[int, int] = (4, 5)
    checks: tuple[int, int] = (3, 4)
    parts: int = 0
    part_minutes: tuple[float, float] = (5.0, 40.0)
    success: tuple[float, float] = (1.0, 1.0)


def random_case(recipe: Recipe, seed: int) -> Case:
    """One case: causes 2-40 %, remedies 5-240 min, checks 1-30 min, test 5-60 min, complaint seen."""
    rng = np.random.default_rng(seed)
    causes = [f"c{i}" for i in range(rng.integers(recipe.causes[0], recipe.causes[1], endpoint=True))]
    checks = [f"f{i}" for i in range(rng.integers(recipe.checks[0], recipe.checks[1], endpoint=True))]
    sure = rng.random() < 0.5
    links = {cause: [1.0 if sure else rng.uniform(0.6, 1.0)] for cause in causes}
    findings = {COMPLAINT: {"leak": [0.0 if sure else 0.01], "links": links}}
    for check in checks:
        parents = rng.choice(causes, rng.integers(1, 3), replace=False)
        leak = 0.0 if rng.random() < 0.3 else rng.uniform(0.01, 0.15)
        findings[check] = {"leak": [leak], "links": {str(parent): [rng.uniform(0.6, 0.98)] for parent in parents}}
    priors = {cause: float(np.exp(rng.uniform(np.log(0.02), np.log(0.4)))) for cause in causes}
    model = CausalModel.from_mapping({"causes": priors, "findings": findings})
    return Case(model, (Observed(COMPLAINT, 1),), _options(recipe, rng, causes, checks))


def _options(recipe: Recipe, rng: np.random.Generator, causes: list[str], checks: list[str]) -> Options:
    parts = {
        f"part{i}": Part(rng.uniform(*recipe.part_minutes), rng.uniform(*recipe.part_minutes))
        for i in range(recipe.parts)
    }
    looks = [Look(check, check, rng.uniform(1, 30), needs_off=_needs(rng, parts, 0.6)) for check in checks]
    if parts:
        looks.append(_look_without(rng, causes, sorted(parts)))
    return Options(
        looks=tuple(looks),
        examinations=(_examination(rng, str(rng.choice(causes)), parts),),
        remedies=tuple(_remedy(recipe, rng, cause, parts) for cause in causes),
        parts=parts,
        off=frozenset(),
        complaint=(COMPLAINT,),
        test_minutes=rng.uniform(5, 60),
        price_per_risk=0.0,
        price_per_day=0.0,
        hand_over_minutes=rng.uniform(400, 900),
    )


def _examination(rng: np.random.Generator, cause: str, parts: dict[str, Part]) -> Examination:
    sensitivity, false_alarm, minutes = rng.uniform(0.85, 0.99), rng.uniform(0.01, 0.1), rng.uniform(5, 40)
    needs_off = _needs(rng, parts, 0.6)
    return Examination(f"examine {cause}", cause, sensitivity, false_alarm, minutes, needs_off=needs_off)


def _remedy(recipe: Recipe, rng: np.random.Generator, cause: str, parts: dict[str, Part]) -> Remedy:
    success, minutes = rng.uniform(*recipe.success), float(np.exp(rng.uniform(np.log(5), np.log(240))))
    return Remedy(f"cure {cause}", frozenset({cause}), success, minutes, needs_off=_needs(rng, parts, 0.8))


def _needs(rng: np.random.Generator, parts: dict[str, Part], chance: float) -> frozenset[str]:
    """No part, one part or two: most steps need something off, and steps share it."""
    if not parts or rng.random() > chance:
        return frozenset()
    needed = min(int(rng.integers(1, 3)), len(parts))
    return frozenset(str(part) for part in rng.choice(sorted(parts), needed, replace=False))


def _look_without(rng: np.random.Generator, causes: list[str], parts: list[str]) -> Look:
    """A look at the complaint again with one part off, which silences a third to a half of the causes."""
    part = frozenset({str(rng.choice(parts))})
    silenced = rng.choice(causes, max(1, len(causes) // 2), replace=False)
    through = {str(cause): (part,) for cause in silenced}
    return Look("complaint with a part off", COMPLAINT, rng.uniform(1, 15), needs_off=part, through=through)
