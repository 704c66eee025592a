"""Most probable combinations of causes present now; the probability of each is exact."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from math import prod

import numpy as np

from restorations.calc.diagnosis.draws import CompiledHistory
from restorations.calc.diagnosis.elimination import eliminate
from restorations.calc.diagnosis.errors import TooEntangled
from restorations.calc.diagnosis.model import Bools, Floats, Ints
from restorations.calc.diagnosis.network import Network
from restorations.calc.diagnosis.plan import Plan
from restorations.calc.diagnosis.sampling import sample_trajectories

MOST_LISTED_CAUSES = 16
MOST_WAYS = 1 << 18  # assignments of trajectories worked through
CHUNK = 1 << 14
CANDIDATES_AT_ONCE = 256
SAMPLES = 4000
SECONDS_PER_WAY = 4e-6

NOT_PROVED = (
    "More combinations of causes are possible than can be compared: the ones shown come from samples and their "
    "neighbours. Each probability is exact, but the order is not proved: a more probable one may have been missed."
)


@dataclass(frozen=True, slots=True)
class RankedCombinations:
    """Combinations of causes present now with their probabilities, most probable first, and notes on them."""

    combinations: list[tuple[frozenset[str], float]]
    notes: tuple[str, ...]


def rank_combinations(compiled: CompiledHistory, plan: Plan, log_evidence: float, n: int) -> RankedCombinations:
    """Return the n most probable combinations over the causes that can explain something seen.

    Raises
    ------
    TooEntangled
        If a combination stands for too many ways in which remedies may have worked.
    """
    network = plan.network
    relevant = np.sort(np.concatenate([network.folded, network.conditioned, network.eliminated]))
    last = compiled.still_there[relevant]
    proved = len(relevant) <= MOST_LISTED_CAUSES and prod((last + 1).tolist()) <= MOST_WAYS
    if proved:
        present = (np.arange(1 << len(relevant))[:, None] >> np.arange(len(relevant)) & 1).astype(bool)
        ways = _every_way(last)
    else:
        present = _candidates(compiled, plan, relevant, n)
        ways = _ways_of(present, last)
    chance = np.zeros(len(present))
    for owner, block in ways:
        p = _probability(compiled, network, log_evidence, relevant, block)
        chance += np.bincount(owner, weights=p, minlength=len(present))
    best = np.argsort(-chance, kind="stable")[:n]
    names = [compiled.model.causes[c] for c in relevant]
    combinations = [
        (frozenset(name for name, there in zip(names, present[i], strict=True) if there), min(float(chance[i]), 1.0))
        for i in best
        if chance[i] > 0.0
    ]
    return RankedCombinations(combinations, () if proved else (NOT_PROVED,))


Ways = Iterator[tuple[Ints, Ints]]  # number of the combination (m,), trajectories of the relevant causes (m, relevant)


def _every_way(last: Ints) -> Ways:
    """All trajectories of all relevant causes; the number of a combination has the present causes as its bits."""
    counts = tuple((last + 1).tolist())
    for start in range(0, prod(counts), CHUNK):
        block = _digits(np.arange(start, min(start + CHUNK, prod(counts))), counts)
        yield ((block == last) << np.arange(len(counts))).sum(axis=1), block


def _ways_of(present: Bools, last: Ints) -> Ways:
    """All trajectories that end in each of these combinations: what is not there now was never, or has been cured."""
    counts = np.where(present, 1, last)
    ways = np.prod(counts.astype(np.float64), axis=1)
    affordable = np.cumsum(np.sort(ways)) <= MOST_WAYS
    if not affordable.any():
        raise TooEntangled(float(ways.min()) * SECONDS_PER_WAY, MOST_WAYS * SECONDS_PER_WAY)
    cheapest = np.argsort(ways, kind="stable")[: int(affordable.sum())]
    for start in range(0, len(cheapest), CANDIDATES_AT_ONCE):
        numbers = cheapest[start : start + CANDIDATES_AT_ONCE]
        size = ways[numbers].astype(np.int64)
        owner = np.repeat(numbers, size)
        within = np.arange(len(owner)) - np.repeat(np.cumsum(size) - size, size)
        yield owner, np.where(present[owner], last, _digits(within, counts[owner].T))


def _digits(numbers: Ints, counts: Iterable[int] | Ints) -> Ints:
    """Write each number in a mixed base, (numbers, digits); a base is a whole number, or one for each number."""
    digits = []
    for count in counts:
        numbers, digit = np.divmod(numbers, count)
        digits.append(digit)
    return np.stack(digits, axis=1) if digits else np.zeros((len(numbers), 0), dtype=np.int64)


def _candidates(compiled: CompiledHistory, plan: Plan, relevant: Ints, n: int) -> Bools:
    """Combinations that occur in samples, and those one cause away from the most frequent of them."""
    trajectories = sample_trajectories(eliminate(plan), SAMPLES, seed=0)
    seen, count = np.unique(compiled.present_now(trajectories)[:, relevant], axis=0, return_counts=True)
    frequent = seen[np.argsort(-count, kind="stable")]
    flipped = frequent[: max(n, 10), None, :] ^ np.eye(len(relevant), dtype=bool)
    return np.unique(np.concatenate([frequent[: max(10 * n, 300)], flipped.reshape(-1, len(relevant))]), axis=0)


def _probability(
    compiled: CompiledHistory, network: Network, log_evidence: float, relevant: Ints, block: Ints
) -> Floats:
    """Posterior probability of trajectories of the relevant causes, all others summed out; (m,)."""
    trajectories = np.zeros((len(block), len(network.weights)), dtype=np.int8)
    trajectories[:, relevant] = block
    with np.errstate(divide="ignore"):
        logs = np.log(network.weights)[relevant, block].sum(axis=1)
        for group in compiled.groups:
            if group.table.width[0]:
                logs += np.log(group.explained(trajectories))
    chance: Floats = np.exp(logs + (network.log_scale - log_evidence))
    return chance
