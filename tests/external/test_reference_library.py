"""Posteriors and log-evidence of larger models against pyAgrum's exact inference, to 1e-9."""

from typing import Any

import numpy as np
import pytest

from restorations.calc.diagnosis import CausalModel, Observed, posterior
from tests.benchmarks.random_engines import Shape, make_evidence, make_model
from tests.calc.diagnosis_cases import Recipe, random_model
from tests.external.reference_network import answer, draw_by_draw_network, noisy_or_network

CLOSE = 1e-9


@pytest.mark.parametrize("unlisted", [False, True], ids=["", "with a cause of everything"])
@pytest.mark.parametrize("seed", range(6))
def test_engines_of_sixty_causes_and_forty_findings(seed: int, unlisted: bool) -> None:
    rng = np.random.default_rng(seed)
    model = make_model(Shape(True, 2, 4, unlisted, causes=60, findings=40), rng)
    looks = make_evidence(model, 8, 12, rng)
    _agree(model, looks, answer(noisy_or_network(model), list(model["causes"]), _levels(looks)))


def test_an_engine_of_the_full_size() -> None:
    rng = np.random.default_rng(1)
    model = make_model(Shape(True, 2, 6), rng)
    looks = make_evidence(model, 12, 20, rng)
    _agree(model, looks, answer(noisy_or_network(model), list(model["causes"]), _levels(looks)))


@pytest.mark.parametrize("seed", range(8))
def test_graded_findings_looked_at_in_several_states(seed: int) -> None:
    """Every link's contribution and every look is a node; what no draw allows is left out, as it would be fresh."""
    rng = np.random.default_rng(seed)
    model = random_model(rng, Recipe(causes=8, findings=4, levels=4, density=0.45))
    looks = _looks_with_parts_off(model, rng)
    net = draw_by_draw_network(model, looks)
    _agree(model, looks, answer(net, list(model["causes"]), {f"look{i}": look.level for i, look in enumerate(looks)}))


def _looks_with_parts_off(model: dict[str, Any], rng: np.random.Generator) -> list[Observed]:
    """Two or three looks at each finding, less and less able to act, so that levels fall for a reason."""
    looks = []
    for name, finding in model["findings"].items():
        off, level = frozenset[str](), int(rng.integers(1, len(finding["leak"]) + 1))
        for _ in range(3):
            looks.append(Observed(name, level, off))
            off |= {c for c in finding["links"] if rng.random() < 0.4}
            level = max(0, level - int(rng.integers(0, 2))) if off else level
        off_again = frozenset(c for c in finding["links"] if rng.random() < 0.5)
        if off_again and looks[-1].level == looks[-3].level:
            looks.append(Observed(name, looks[-1].level, off_again))
    possible = posterior(CausalModel.from_mapping(model), looks)
    openers = {note.split(":")[0] for note in possible.notes}
    return [look for look in looks if str(look) not in openers]


def _levels(looks: list[Observed]) -> dict[str, int]:
    return {look.finding: look.level for look in looks}


def _agree(model: dict[str, Any], looks: list[Observed], expected: tuple[dict[str, float], float]) -> None:
    found = posterior(CausalModel.from_mapping(model), looks)
    assert found.notes == ()
    assert found.now == pytest.approx(expected[0], abs=CLOSE)
    assert found.log_evidence == pytest.approx(expected[1], abs=CLOSE)
