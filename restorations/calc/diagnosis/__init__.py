"""From what was seen and done on the bench to ranked causes, why, and what to do next.

Here belongs inference over a causal model it is given. What the causes and findings are belongs in
`restorations.knowledge`; what members recorded, in the pages.
"""

from restorations.calc.diagnosis.by_enumeration import EnumeratedPosterior, posterior_by_enumeration
from restorations.calc.diagnosis.errors import ImpossibleEvidence, InvalidHistory, InvalidModel, TooEntangled
from restorations.calc.diagnosis.evidence import weight_of_evidence, weights_of_evidence
from restorations.calc.diagnosis.history import Event, Inspected, Observed, Remedied
from restorations.calc.diagnosis.model import CausalModel
from restorations.calc.diagnosis.next_step import Advice, Outcome, SetUp, advise
from restorations.calc.diagnosis.options import (
    Examination,
    FunctionTest,
    HandOver,
    InvalidOptions,
    Look,
    Options,
    Part,
    Remedy,
    Step,
)
from restorations.calc.diagnosis.outlook import Outlook, outlook
from restorations.calc.diagnosis.posterior import Posterior, posterior
from restorations.calc.diagnosis.remaining import RemainingWork, remaining_minutes, remaining_work

__all__ = [
    "Advice",
    "CausalModel",
    "EnumeratedPosterior",
    "Event",
    "Examination",
    "FunctionTest",
    "HandOver",
    "ImpossibleEvidence",
    "Inspected",
    "InvalidHistory",
    "InvalidModel",
    "InvalidOptions",
    "Look",
    "Observed",
    "Options",
    "Outcome",
    "Outlook",
    "Part",
    "Posterior",
    "RemainingWork",
    "Remedied",
    "Remedy",
    "SetUp",
    "Step",
    "TooEntangled",
    "advise",
    "outlook",
    "posterior",
    "posterior_by_enumeration",
    "remaining_minutes",
    "remaining_work",
    "weight_of_evidence",
    "weights_of_evidence",
]
