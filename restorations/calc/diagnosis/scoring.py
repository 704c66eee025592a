"""How well rankings did: where the confirmed cause stood, and whether "70 %" came true 70 times in 100.

A probability is scored against what turned out, so only what did turn out may be scored. What nobody looked at is not
absent. Without bias are the predictions made just before each look or examination, whatever led to it: they are for
the answer that then came. Members look where they are told to look, so predictions made earlier and scored only where
a look followed are not.
"""

from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass
from itertools import pairwise
from math import fsum, inf, log, sqrt

from restorations.calc.errors import OutOfRange

__all__ = [
    "CalibrationBin",
    "Placings",
    "Prediction",
    "brier_score",
    "calibration",
    "log_score",
    "placings",
    "ranks_of_confirmed",
]

TIED = 1e-9  # relative difference below which two suspects stand level: rounding, not opinion


@dataclass(frozen=True, slots=True)
class Prediction:
    """What was predicted with which probability, 0..1 (OutOfRange beyond), and whether it came out so."""

    probability: float
    came_true: bool

    def __post_init__(self) -> None:
        if not 0.0 <= self.probability <= 1.0:
            raise OutOfRange("probability", self.probability, 0.0, 1.0)


@dataclass(frozen=True, slots=True)
class Placings:
    """Of so many ranks, how many were first, in the first three, in the first five."""

    ranks: int
    first: int
    first_three: int
    first_five: int


@dataclass(frozen=True, slots=True)
class CalibrationBin:
    """Predictions between two probabilities, and what came of them.

    Attributes
    ----------
    low, high : float - low <= probability < high; the last bin has its upper end too.
    count : int - predictions in the bin, 1 or more.
    predicted : float - their mean probability, 0..1.
    came_true : float - share of them that came true, 0..1.
    standard_error : float - of that share, if the predictions are right and independent of each other.
    """

    low: float
    high: float
    count: int
    predicted: float
    came_true: float
    standard_error: float

    @property
    def off_by(self) -> float:
        """How many standard errors more came true than was predicted; negative for fewer."""
        difference = self.came_true - self.predicted
        if self.standard_error:
            return difference / self.standard_error
        return 0.0 if abs(difference) < TIED else inf * difference


def ranks_of_confirmed(confirmed: Collection[str], suspects: Mapping[str, float]) -> dict[str, int]:
    """Give the rank of each confirmed cause among the suspects that were not confirmed.

    Suspects that stand level with it are not counted before it: the two sides that nothing yet tells apart are one
    suspicion.

    Parameters
    ----------
    confirmed : collection of str - causes confirmed when the sheet was closed.
    suspects : mapping of str to float - probability of everything that was suspected, 0..1.

    Returns
    -------
    dict of str to int - rank of each confirmed cause, 1 for first; one not suspected at all comes after the last.

    Examples
    --------
    >>> ranks_of_confirmed({"gum", "packing"}, {"box": 0.6, "gum": 0.5, "packing": 0.2, "rust": 0.3})
    {'gum': 2, 'packing': 3}
    """
    rivals = [p for cause, p in suspects.items() if cause not in confirmed]
    return {cause: 1 + sum(p > suspects.get(cause, -1.0) * (1.0 + TIED) for p in rivals) for cause in sorted(confirmed)}


def placings(ranks: Iterable[int]) -> Placings:
    """Count how often the confirmed cause was first, in the first three, in the first five.

    Parameters
    ----------
    ranks : iterable of int - rank of the confirmed cause on each sheet, 1 for first.

    Returns
    -------
    Placings

    Raises
    ------
    OutOfRange
        A rank is below 1.

    Examples
    --------
    >>> placings([1, 4, 2, 9])
    Placings(ranks=4, first=1, first_three=2, first_five=3)
    """
    every = list(ranks)
    for rank in every:
        if rank < 1:
            raise OutOfRange("rank", rank, 1, None)
    return Placings(len(every), *(sum(rank <= limit for rank in every) for limit in (1, 3, 5)))


def calibration(predictions: Iterable[Prediction], bins: int = 10) -> tuple[CalibrationBin, ...]:
    """Sort predictions into bins of equal width and compare what came of each with what was predicted.

    The standard error takes the predictions as independent. Of the causes of one sheet one speaks against the others,
    which makes it too large, and looks at the same engine hang together, which makes it too small.

    Parameters
    ----------
    predictions : iterable of Prediction
    bins : int - number of bins between 0 and 1, at least 1.

    Returns
    -------
    tuple of CalibrationBin - in order; a bin without predictions is left out.

    Raises
    ------
    OutOfRange
        There is to be no bin.

    Examples
    --------
    >>> said = [Prediction(0.2, False), Prediction(0.2, True), Prediction(0.9, True)]
    >>> [(one.low, one.high, one.count, one.predicted, one.came_true) for one in calibration(said)]
    [(0.2, 0.3, 2, 0.2, 0.5), (0.9, 1.0, 1, 0.9, 1.0)]
    """
    if bins < 1:
        raise OutOfRange("bins", bins, 1, None)
    every = list(predictions)
    return tuple(
        _bin(low, high, inside)
        for low, high in pairwise(n / bins for n in range(bins + 1))
        if (inside := [one for one in every if low <= one.probability < high or one.probability == high == 1.0])
    )


def brier_score(predictions: Iterable[Prediction]) -> float:
    """Score predictions by their mean squared distance from what came.

    Parameters
    ----------
    predictions : iterable of Prediction - one or more.

    Returns
    -------
    float - 0 for certain and right, 0.25 for always saying one half, 1 for certain and wrong.

    Raises
    ------
    OutOfRange
        There are no predictions.

    References
    ----------
    Brier 1950, for two outcomes in the form with one square.

    Examples
    --------
    >>> round(brier_score([Prediction(0.7, True), Prediction(0.4, False)]), 9)  # (0.09 + 0.16) / 2
    0.125
    """
    return _mean([(one.probability - one.came_true) ** 2 for one in predictions])


def log_score(predictions: Iterable[Prediction]) -> float:
    """Score predictions by the mean negative natural logarithm of the probability given to what came.

    Parameters
    ----------
    predictions : iterable of Prediction - one or more.

    Returns
    -------
    float - [nats], 0 for certain and right, ln 2 for always saying one half, infinite once certain and wrong.

    Raises
    ------
    OutOfRange
        There are no predictions.

    References
    ----------
    Good 1952 (RECALLED).

    Examples
    --------
    >>> round(log_score([Prediction(0.5, True), Prediction(0.75, False)]), 9)  # (ln 2 + ln 4) / 2
    1.039720771
    """
    return _mean([_surprise(one.probability if one.came_true else 1.0 - one.probability) for one in predictions])


def _surprise(probability: float) -> float:
    return -log(probability) if probability > 0.0 else inf


def _mean(losses: list[float]) -> float:
    if not losses:
        raise OutOfRange("predictions", 0, 1, None)
    return fsum(losses) / len(losses)


def _bin(low: float, high: float, inside: list[Prediction]) -> CalibrationBin:
    count = len(inside)
    spread = fsum(one.probability * (1.0 - one.probability) for one in inside)
    return CalibrationBin(
        low=low,
        high=high,
        count=count,
        predicted=fsum(one.probability for one in inside) / count,
        came_true=sum(one.came_true for one in inside) / count,
        standard_error=sqrt(spread) / count,
    )
