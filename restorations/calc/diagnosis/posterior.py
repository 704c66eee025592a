"""Posterior probabilities of the causes, from everything seen and done."""

from collections.abc import Sequence
from functools import cached_property

import numpy as np

from restorations.calc.diagnosis.combinations import RankedCombinations, rank_combinations
from restorations.calc.diagnosis.draws import CompiledHistory, compile_history
from restorations.calc.diagnosis.elimination import Marginals, eliminate, marginals
from restorations.calc.diagnosis.errors import ImpossibleEvidence, TooEntangled
from restorations.calc.diagnosis.history import Event
from restorations.calc.diagnosis.model import Bools, CausalModel, Floats, Ints
from restorations.calc.diagnosis.plan import Plan, make_plan
from restorations.calc.diagnosis.sampling import sample_trajectories
from restorations.calc.errors import OutOfRange

SECONDS_PER_EVENT = 20e-6  # reading the history; what is joined is predicted by the plan


class Posterior:
    """What is believed about every cause after a history.

    Attributes
    ----------
    log_evidence : float - natural log of the probability of everything seen.
    compiled : CompiledHistory - trajectories and draw groups.
    trajectory_probability : ndarray of shape (causes, trajectories) - P(trajectory), 0..1, each row summing to 1.
    """

    def __init__(self, compiled: CompiledHistory, plan: Plan, solved: Marginals) -> None:
        self.compiled = compiled
        self.log_evidence = solved.log_evidence
        self.trajectory_probability: Floats = solved.trajectories
        self._plan = plan
        self._combination_notes: tuple[str, ...] = ()

    @property
    def notes(self) -> tuple[str, ...]:
        """What the reader should know: looks taken as fresh; combinations whose order is not proved, once asked for."""
        return self.compiled.notes + self._combination_notes

    @property
    def predicted_seconds(self) -> float:
        """How long it was predicted to take [s]; the same on every machine."""
        return self._plan.seconds + SECONDS_PER_EVENT * len(self.compiled.events)

    @cached_property
    def now_array(self) -> Floats:
        """P(present now) of each cause, in model order, 0..1."""
        causes = np.arange(len(self.compiled.still_there))
        now: Floats = self.trajectory_probability[causes, self.compiled.still_there]
        return now

    @cached_property
    def at_start_array(self) -> Floats:
        """P(present at the start), cured since or not, of each cause in model order, 0..1."""
        at_start: Floats = np.minimum(self.trajectory_probability[:, 1:].sum(axis=1), 1.0)
        return at_start

    @cached_property
    def absent_array(self) -> Floats:
        """P(never present) of each cause in model order, 0..1: a sum of its own, precise also where it is tiny."""
        return self.trajectory_probability[:, 0]

    @cached_property
    def now(self) -> dict[str, float]:
        """P(present now) of each cause, 0..1."""
        return dict(zip(self.compiled.model.causes, self.now_array.tolist(), strict=True))

    @cached_property
    def at_start(self) -> dict[str, float]:
        """P(present at the start) of each cause, 0..1; a remedy does not change it, what is seen after it does."""
        return dict(zip(self.compiled.model.causes, self.at_start_array.tolist(), strict=True))

    def most_probable(self, n: int) -> list[tuple[frozenset[str], float]]:
        """Most probable combinations of causes present now, over the causes linked to a finding that was seen.

        All other causes are summed out. Every probability is exact. Up to 16 causes all combinations are compared; for
        more, only those drawn in samples or one cause away from these, and `notes` then says so.

        Parameters
        ----------
        n : int - number of combinations wanted, 1 or more.

        Returns
        -------
        list of (frozenset of str, float) - causes present now and the probability 0..1, most probable first.

        Raises
        ------
        OutOfRange
            n is less than 1.
        TooEntangled
            One combination stands for too many ways in which remedies may have worked.
        """
        _at_least("n", n, 1)
        ranked: RankedCombinations = rank_combinations(self.compiled, self._plan, self.log_evidence, n)
        self._combination_notes = ranked.notes
        return ranked.combinations

    def trajectories(self, n: int, seed: int) -> Ints:
        """Draw n exact joint samples of all trajectories, shape (n, causes); the same seed gives the same samples."""
        _at_least("n", n, 0)
        _at_least("seed", seed, 0)
        return sample_trajectories(eliminate(self._plan), n, seed)

    def sample(self, n: int, seed: int) -> Bools:
        """Draw n exact joint samples of which causes are present now.

        Parameters
        ----------
        n : int - number of samples, 0 or more.
        seed : int - the same seed gives the same samples; 0 or more.

        Returns
        -------
        ndarray of bool, shape (n, causes in model order)

        Raises
        ------
        OutOfRange
            n or seed is negative.
        """
        return self.compiled.present_now(self.trajectories(n, seed))


def posterior(model: CausalModel, history: Sequence[Event]) -> Posterior:
    """Work out what is believed about every cause after a history.

    Exact: elimination over the findings seen at a level above 0; every sum is of non-negative terms.

    Parameters
    ----------
    model : CausalModel
    history : sequence of Observed, Inspected, Remedied - in the order in which they happened.

    Returns
    -------
    Posterior

    Raises
    ------
    InvalidHistory
        An event does not fit the model.
    ImpossibleEvidence
        No combination of causes can have given these events; names those that contradict each other.
    TooEntangled
        The predicted time is over the budget; says how long it would take.

    References
    ----------
    Elimination with causal independence: Zhang & Poole 1996; draws shared by looks: Breese & Heckerman 1996.

    Examples
    --------
    Present a priori 0.2, the finding seen: 0.2 * 0.8 / (0.2 * 0.8 + leak share), by hand.

    >>> from restorations.calc.diagnosis.history import Observed
    >>> model = CausalModel.from_mapping(
    ...     {"causes": {"gum": 0.2}, "findings": {"stiff": {"leak": [0.0], "links": {"gum": [0.8]}}}})
    >>> posterior(model, [Observed("stiff", 1)]).now
    {'gum': 1.0}
    >>> round(posterior(model, [Observed("stiff", 0)]).now["gum"], 6)  # 0.04 / 0.84
    0.047619
    """
    compiled = compile_history(model, history)
    plan = make_plan(compiled)
    forward = None if plan is None else eliminate(plan)
    if plan is None or forward is None or not np.isfinite(forward.log_cases.max()):
        raise ImpossibleEvidence(_contradiction(model, compiled.events))
    return Posterior(compiled, plan, marginals(forward))


def _at_least(name: str, value: int, least: int) -> None:
    if value < least:
        raise OutOfRange(name, value, least, None)


def _possible(model: CausalModel, events: Sequence[Event]) -> bool:
    try:
        plan = make_plan(compile_history(model, events))
    except TooEntangled:
        return True
    return plan is not None and bool(np.isfinite(eliminate(plan).log_cases.max()))


def _contradiction(model: CausalModel, events: Sequence[Event]) -> list[Event]:
    """Leave out every event without which the rest is still impossible; what is left contradicts itself.

    Many at a time at first, at last one by one.
    """
    shortest, longest = 0, len(events)  # the shortest impossible beginning, by halving
    while longest - shortest > 1:
        middle = (shortest + longest) // 2
        shortest, longest = (middle, longest) if _possible(model, events[:middle]) else (shortest, middle)
    guilty, size = list(events[:longest]), longest
    while size > 1:
        size = (size + 1) // 2
        for start in range(len(guilty) - 1, -1, -size):
            rest = guilty[: max(0, start + 1 - size)] + guilty[start + 1 :]
            if not _possible(model, rest):
                guilty = rest
    return guilty
