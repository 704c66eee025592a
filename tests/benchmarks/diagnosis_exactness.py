"""How far the diagnosis is from exact rational arithmetic on 1,000 random models with mixed evidence.

.venv/bin/python -m tests.benchmarks.diagnosis_exactness [--cases N]
"""

from tests.benchmarks.asked import cases_asked
from tests.calc.diagnosis_cases import random_case
from tests.external.mixed_cases import RECIPES, worst_difference


def main(models: int) -> None:
    """Print the worst differences."""
    worst = sorted(
        (
            (worst_difference(*random_case(seed, RECIPES[seed % len(RECIPES)])), seed)
            for seed in range(10_000, 10_000 + models)
        ),
        reverse=True,
    )
    print(f"{models} models with mixed evidence against exact rationals")
    print(f"worst difference {worst[0][0]:.1e} (seed {worst[0][1]}), median {worst[len(worst) // 2][0]:.1e}")
    print(f"over 1e-12: {sum(difference > 1e-12 for difference, _ in worst)}")


if __name__ == "__main__":
    main(cases_asked(1000))
