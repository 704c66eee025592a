"""How much work is left, on samples of what may be wrong."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from restorations.calc.diagnosis.belief import Belief
from restorations.calc.diagnosis.history import Event, check_history
from restorations.calc.diagnosis.mechanisms import Bools, Floats
from restorations.calc.diagnosis.model import CausalModel
from restorations.calc.diagnosis.next_step import at_least, is_gone
from restorations.calc.diagnosis.options import Options
from restorations.calc.diagnosis.problem import Problem, patterns_of, pose
from restorations.calc.diagnosis.repair_plan import best_plan, minutes_spent
from restorations.calc.diagnosis.worlds import believe

PLANNING_SAMPLES = 4000


@dataclass(frozen=True, slots=True)
class RemainingWork:
    """The repair plan followed on samples of what may be wrong.

    Attributes
    ----------
    minutes : array (n,) - attended minutes until the complaint is gone or the engine is handed over, the price of
        handing over not in them; ascending, and what is handed over comes last: the plan was followed to its end [min]
    handed_over : float - share of the samples that end in handing over, 0..1
    """

    minutes: Floats
    handed_over: float


def remaining_work(model: CausalModel, history: Sequence[Event], options: Options, n: int, seed: int) -> RemainingWork:
    """Attended minutes the repair plan would still take, and how often it ends in handing the engine over.

    No further checks are counted on, so the minutes are on the high side. Waiting, risk and the price of handing over
    are not in them. The first round((1 - handed_over) n) of the minutes are those of samples that the plan finishes.

    Parameters
    ----------
    model : CausalModel
    history : sequence of events, oldest first
    options : Options
    n : int - samples, >= 1
    seed : int - of the samples, >= 0

    Returns
    -------
    RemainingWork - all minutes 0 and nothing handed over when the complaint was last seen gone

    Raises
    ------
    InvalidOptions, InvalidHistory, ImpossibleEvidence, TooEntangled - as `advise`
    """
    minutes, handed_over = _followed(model, history, options, n, seed)
    return RemainingWork(np.sort(minutes), float(handed_over.mean()))


def remaining_minutes(model: CausalModel, history: Sequence[Event], options: Options, n: int, seed: int) -> Floats:
    """Attended minutes the repair plan would still take, on each of n exact samples of what is wrong.

    No further checks are counted on, so the minutes are on the high side. Waiting and risk are not in them; handing
    over is, at its price.

    Parameters
    ----------
    model : CausalModel
    history : sequence of events, oldest first
    options : Options
    n : int - samples, >= 1
    seed : int - of the samples, >= 0

    Returns
    -------
    array (n,) - attended minutes [min]; all 0 when the complaint was last seen gone

    Raises
    ------
    InvalidOptions, InvalidHistory, ImpossibleEvidence, TooEntangled - as `advise`
    """
    minutes, handed_over = _followed(model, history, options, n, seed)
    return minutes + options.hand_over_minutes * handed_over


def _followed(
    model: CausalModel, history: Sequence[Event], options: Options, n: int, seed: int
) -> tuple[Floats, Bools]:
    options.check(model)
    check_history(model, history)
    at_least("n", n, 1)
    at_least("seed", seed, 0)
    if is_gone(history, options):
        return np.zeros(n), np.zeros(n, dtype=bool)
    belief = believe(model, history, options, PLANNING_SAMPLES, seed)
    return _plan_followed(pose(belief, options), belief, n, seed)


def work_left(problem: Problem, belief: Belief, n: int, seed: int) -> RemainingWork:
    """The remaining work of a problem, as `remaining_work` gives it."""
    minutes, handed_over = _plan_followed(problem, belief, n, seed)
    return RemainingWork(np.sort(minutes), float(handed_over.mean()))


def _plan_followed(problem: Problem, belief: Belief, n: int, seed: int) -> tuple[Floats, Bools]:
    groups = patterns_of(problem, belief.at_work())
    off = np.array(problem.off_row(problem.options.off), dtype=bool)
    weights = groups.grouped(belief.weights[:, None])[:, 0]
    plan = best_plan(problem.repairs, groups.patterns, weights, off)
    generator = np.random.default_rng(seed)
    drawn = groups.patterns[generator.choice(len(weights), n, p=weights / weights.sum())]
    return minutes_spent(problem.repairs, plan, drawn, off, generator)
