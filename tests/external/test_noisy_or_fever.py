"""Russell & Norvig, Artificial Intelligence: A Modern Approach, noisy-OR: fever from cold, flu and malaria.

Inhibitors cold 0.6, flu 0.2, malaria 0.1, no leak. The table's eight rows are printed in the book (3rd edition, figure
14.10; seen in course slides that copy it). The book gives no priors; those of the posterior below are ours, and its
values were worked out by summing the eight rows.
"""

import math

import pytest

from restorations.calc.diagnosis import CausalModel, Observed, posterior

NOT_FEVER = {  # (cold, flu, malaria): P(no fever)
    (0, 0, 0): 1.0,
    (0, 0, 1): 0.1,
    (0, 1, 0): 0.2,
    (0, 1, 1): 0.02,
    (1, 0, 0): 0.6,
    (1, 0, 1): 0.06,
    (1, 1, 0): 0.12,
    (1, 1, 1): 0.012,
}
FEVER = {"leak": [0.0], "links": {"cold": [0.4], "flu": [0.8], "malaria": [0.9]}}


def _model(cold: float, flu: float, malaria: float) -> CausalModel:
    return CausalModel.from_mapping(
        {"causes": {"cold": cold, "flu": flu, "malaria": malaria}, "findings": {"fever": FEVER}}
    )


@pytest.mark.parametrize("present", NOT_FEVER)
def test_every_row_of_the_fever_table(present: tuple[int, int, int]) -> None:
    model = _model(*present)
    assert math.exp(posterior(model, [Observed("fever", 0)]).log_evidence) == pytest.approx(
        NOT_FEVER[present], rel=1e-12
    )
    if NOT_FEVER[present] < 1.0:
        fever = math.exp(posterior(model, [Observed("fever", 1)]).log_evidence)
        assert fever == pytest.approx(1.0 - NOT_FEVER[present], rel=1e-12)


def test_what_fever_says_about_its_causes() -> None:
    found = posterior(_model(0.2, 0.05, 0.001), [Observed("fever", 1)])
    assert math.exp(found.log_evidence) == pytest.approx(0.11759488, rel=1e-9)
    assert found.now == pytest.approx({"cold": 0.7220015021, "flu": 0.3470242922, "malaria": 0.0077527185}, abs=5.1e-11)
