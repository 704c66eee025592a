"""Recipes of the cases compared with exact rationals, and the comparison itself."""

from collections.abc import Sequence

from restorations.calc.diagnosis import CausalModel, Event, ImpossibleEvidence, posterior
from tests.calc.diagnosis_cases import Recipe
from tests.external.exact_rationals import exact_posterior

RECIPES = (
    Recipe(causes=2, findings=1, levels=3, events=6, density=1.0),
    Recipe(causes=3, findings=2, levels=4, events=8, density=0.9),
    Recipe(causes=4, findings=3, levels=3, events=8),
    Recipe(causes=3, findings=2, levels=3, events=7, density=0.9, certain=0.2),
)


def worst_difference(model: CausalModel, history: Sequence[Event]) -> float:
    """Greatest difference in any probability or in the log-evidence; 0 if both ways find the evidence impossible."""
    exact = exact_posterior(model.to_mapping(), history)
    try:
        found = posterior(model, history)
    except ImpossibleEvidence:
        return 0.0 if exact is None else 1.0
    if exact is None:
        return 1.0
    return max(
        abs(found.log_evidence - exact.log_evidence),
        *(abs(found.now[cause] - float(p)) for cause, p in exact.now.items()),
        *(abs(found.at_start[cause] - float(p)) for cause, p in exact.at_start.items()),
    )
