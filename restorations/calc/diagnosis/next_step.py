"""What to do next: every look, examination and remedy on offer, ranked by the minutes it leaves to the finish."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from restorations.calc.diagnosis.belief import Belief
from restorations.calc.diagnosis.errors import InvalidHistory
from restorations.calc.diagnosis.history import Event, Inspected, Observed, Remedied
from restorations.calc.diagnosis.mechanisms import Bools, Floats
from restorations.calc.diagnosis.model import CausalModel
from restorations.calc.diagnosis.options import (
    Examination,
    FunctionTest,
    HandOver,
    InvalidOptions,
    Look,
    Options,
    Planned,
    Remedy,
    Step,
)
from restorations.calc.diagnosis.repair_plan import ANY, RepairList, best_plan, plan_minutes, repair_list
from restorations.calc.diagnosis.worlds import believe, sample_belief

LONGEST_PLAN = 20  # remedies the repair plan looks at; what the others would cure is handed over
CERTAIN = 1.0 - 1e-9


@dataclass(frozen=True, slots=True)
class SetUp:
    """Parts to take off and to fit before a step, and the attended minutes of that [min]."""

    take_off: frozenset[str]
    refit: frozenset[str]
    minutes: float


@dataclass(frozen=True, slots=True)
class Outcome:
    """What a step may show: `level` (a look's level; 1 found, still there; 0 not found, gone), its probability, and the
    expected minutes from then on [min]."""

    level: int
    probability: float
    minutes_to_finish: float


@dataclass(frozen=True, slots=True)
class Advice:
    """One step that could come next.

    `minutes_to_finish` - expected minutes [min] until the complaint is gone when this step comes next: set-up, the
    step, priced waiting and risk, and what follows. `saves` - how much less that is than the plain repair plan [min],
    negative when the step does not pay. `gate` - who must say yes or what must be so first, empty when nothing.
    """

    step: Step
    minutes_to_finish: float
    saves: float
    set_up: SetUp
    gate: str
    outcomes: tuple[Outcome, ...]
