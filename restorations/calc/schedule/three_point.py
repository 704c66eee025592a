"""A duration guessed three ways: at best, most likely, at worst."""

from dataclasses import dataclass
from math import isfinite

import numpy as np
import numpy.typing as npt

from restorations.calc.errors import OutOfRange

Floats = npt.NDArray[np.float64]

PEAKEDNESS = 4.0  # weight of the likely value in (low + 4 likely + high) / 6
GRID = 257  # points of the tabulated distribution: the mean of a guess is off by less than 1e-4 of its spread


@dataclass(frozen=True, slots=True)
class ThreePoint:
    """A duration of which the least, the likeliest and the greatest value are guessed, in any one unit.

    Attributes
    ----------
    low, likely, high : float - the three guesses, 0 <= low <= likely <= high.
    mean : float - (low + 4 likely + high) / 6.
    variance : float - ((high - low) / 6)², as the textbooks add it up along a path.
    """

    low: float
    likely: float
    high: float

    @property
    def mean(self) -> float:
        return (self.low + PEAKEDNESS * self.likely + self.high) / (PEAKEDNESS + 2.0)

    @property
    def variance(self) -> float:
        return ((self.high - self.low) / 6.0) ** 2

    def quantiles(self, shares: Floats, *, beyond: float = 0.0) -> Floats:
        """Give the durations below which these shares of all cases lie, by the beta distribution of the three guesses.

        On [low, high], with parameters 1 + 4 (likely - low) / (high - low) and 1 + 4 (high - likely) / (high - low):
        the beta-PERT distribution. Its mean is the `mean` above exactly, which a triangle's is not, so that a path
        adds up to the same figure by hand and by simulation. Its spread is the textbooks' only nearly: the variance is
        (mean - low)(high - mean) / 7. A later `likely`, or three guesses later by as much, makes every duration
        longer; a later `low` or `high` alone makes the mean longer and the spread another.

        Parameters
        ----------
        shares : ndarray - each 0..1.
        beyond : float - what it is known to exceed, because so much has passed and it goes on; below `high`.

        Returns
        -------
        ndarray - durations, of the shape of `shares`, between max(low, beyond) and high.

        Raises
        ------
        OutOfRange - `beyond` is not below `high` (a duration without any spread: not above it).

        References
        ----------
        Malcolm, Roseboom, Clark, Fazar, Operations Research 7 (1959) 646; Vose, Risk Analysis (RECALLED).
        """
        start = max(self.low, beyond)
        width = self.high - self.low
        if beyond > self.high or (beyond == self.high and width > 0.0):
            raise OutOfRange("beyond", beyond, 0.0, self.high)
        if self.high - start <= 1e-9 * max(width, 1.0):
            return np.full(shares.shape, start)
        at = np.linspace(start, self.high, GRID)
        part = (at - self.low) / width
        rise = PEAKEDNESS * (self.likely - self.low) / width
        density = part**rise * np.maximum(1.0 - part, 0.0) ** (PEAKEDNESS - rise)
        below = np.concatenate(([0.0], np.cumsum(density[1:] + density[:-1])))
        return np.interp(shares, below / below[-1], at)


def three_point(low: float, likely: float, high: float) -> ThreePoint:
    """Give the duration that three guesses amount to.

    mean = (low + 4 likely + high) / 6, variance = ((high - low) / 6)².

    Parameters
    ----------
    low : float - at best, 0 or more, in any unit of time.
    likely : float - most likely, from low to high.
    high : float - at worst, finite.

    Returns
    -------
    ThreePoint - `.mean` in the same unit, `.variance` in its square.

    Raises
    ------
    OutOfRange - low is negative, likely lies outside low and high, or high is not a finite number.

    References
    ----------
    Malcolm, Roseboom, Clark, Fazar, Operations Research 7 (1959) 646 (RECALLED).

    Examples
    --------
    Taylor, Introduction to Management Science, solved problem on a network of four activities, the first:

    >>> first = three_point(5, 8, 17)
    >>> first.mean, first.variance
    (9.0, 4.0)
    """
    if not (isfinite(low) and low >= 0.0):
        raise OutOfRange("low", low, 0.0, None)
    if not (isfinite(high) and high >= low):
        raise OutOfRange("high", high, low, None)
    if not low <= likely <= high:
        raise OutOfRange("likely", likely, low, high)
    return ThreePoint(float(low), float(likely), float(high))
