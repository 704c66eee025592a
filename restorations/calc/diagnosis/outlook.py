"""What could come next and how much work is left, from a posterior that is there already."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from restorations.calc.diagnosis.next_step import Advice, at_least, is_gone, ranked_steps
from restorations.calc.diagnosis.options import Options
from restorations.calc.diagnosis.posterior import Posterior
from restorations.calc.diagnosis.problem import pose
from restorations.calc.diagnosis.remaining import RemainingWork, work_left
from restorations.calc.diagnosis.worlds import believe_from


@dataclass(frozen=True, slots=True)
class Outlook:
    """What lies ahead.

    Attributes
    ----------
    advice : tuple of Advice - as `advise` gives it, best first; empty when the complaint was last seen gone
    work : RemainingWork - as `remaining_work` gives it
    """

    advice: tuple[Advice, ...]
    work: RemainingWork


def outlook(known: Posterior, options: Options, *, samples: int = 4000, n: int = 200, seed: int = 0) -> Outlook:
    """Rank what could be done next and say how much work is left, without inferring anything anew.

    Parameters
    ----------
    known : Posterior - of the history so far
    options : Options
    samples : int - possible worlds drawn when there are too many to list, >= 1
    n : int - samples of the remaining work, >= 1
    seed : int - of the draws, >= 0

    Returns
    -------
    Outlook - minutes [min]

    Raises
    ------
    InvalidOptions - a step, the complaint or a number is not lawful; says which
    """
    options.check(known.compiled.model)
    for label, value, least in (("samples", samples, 1), ("n", n, 1), ("seed", seed, 0)):
        at_least(label, value, least)
    if is_gone(known.compiled.events, options):
        return Outlook((), RemainingWork(np.zeros(n), 0.0))
    belief = believe_from(known, options, samples, seed)
    problem = pose(belief, options)
    return Outlook(ranked_steps(problem, belief, depth=1), work_left(problem, belief, n, seed))
