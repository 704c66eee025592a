"""What is left to do and to wait for before an engine is back, as `simulate` takes it."""

from collections.abc import Mapping
from dataclasses import dataclass
from math import isfinite

import numpy as np

from restorations.calc.errors import OutOfRange
from restorations.calc.schedule.errors import InvalidPlan
from restorations.calc.schedule.network import order_of_work
from restorations.calc.schedule.three_point import Floats, ThreePoint


@dataclass(frozen=True, slots=True)
class Work:
    """Hours of one person that are still to be put in.

    Attributes
    ----------
    hours : ThreePoint, tuple of float or None - guessed three ways [h]; or equally likely hours, of which some may be
        infinite: the case that it cannot be said; or None: not estimated, named as missing and counted as nothing.
    spent : float - hours already put in, of those guessed three ways [h].
    after : tuple of str - names of the work that comes first.
    waits_for : tuple of str - names of the waits that must be over before it is begun.
    at_once : float - how many can work on it side by side, 1 or more.
    """

    hours: ThreePoint | tuple[float, ...] | None
    spent: float = 0.0
    after: tuple[str, ...] = ()
    waits_for: tuple[str, ...] = ()
    at_once: float = 1.0

    def __post_init__(self) -> None:
        if not (isfinite(self.spent) and self.spent >= 0.0):
            raise OutOfRange("spent", self.spent, 0.0, None, "h")
        if not (isfinite(self.at_once) and self.at_once >= 1.0):
            raise OutOfRange("at_once", self.at_once, 1.0, None)
        if isinstance(self.hours, tuple) and not (self.hours and min(self.hours) >= 0.0):
            raise OutOfRange("hours", min(self.hours, default=-1.0), 0.0, None, "h")

    def drawn(self, shares: Floats) -> Floats:
        """Hours still to be put in [h] at these shares of all cases; nothing where it is not estimated."""
        if self.hours is None:
            return np.zeros(shares.shape)
        if isinstance(self.hours, ThreePoint):
            return self.hours.quantiles(shares, beyond=self.spent) - self.spent
        return _one_of(np.sort(np.asarray(self.hours, dtype=float)), shares)


@dataclass(frozen=True, slots=True)
class Wait:
    """Elapsed time in which nobody can do anything about it: a soak, a part that is promised, the inspector.

    Attributes
    ----------
    until : float or None - the day it should be over, counted from day 0; negative where that is past, and it goes
        on; None: nobody has said, named as missing and counted as no wait.
    late : ThreePoint or None - days beyond that; what has passed of them already is taken into account.
    after_work : bool - begins when all work is done, `until` days then; else it runs from now.
    """

    until: float | None
    late: ThreePoint | None = None
    after_work: bool = False

    def drawn(self, shares: Floats) -> Floats:
        """The day it is over, from day 0 (after work: how many days it takes), at these shares of all cases."""
        if self.until is None:
            return np.zeros(shares.shape)
        if self.late is None:
            return np.full(shares.shape, max(self.until, 0.0))
        return np.maximum(self.until + self.late.quantiles(shares, beyond=max(-self.until, 0.0)), 0.0)


@dataclass(frozen=True, slots=True)
class Plan:
    """All that is left to do and to wait for. A wait that no work names holds up the return itself."""

    work: Mapping[str, Work]
    waits: Mapping[str, Wait]

    def ordered(self) -> list[str]:
        """Names of the work, each after what comes first; InvalidPlan where that, or a wait, does not exist."""
        for name, work in self.work.items():
            for wait in work.waits_for:
                if wait not in self.waits or self.waits[wait].after_work:
                    raise InvalidPlan(f"“{name}” waits for “{wait}”, which is not a wait of this plan.", (wait, name))
        if both := self.work.keys() & self.waits.keys():
            raise InvalidPlan(f"“{min(both)}” stands for a piece of work and for a wait: give each a name of its own.")
        return order_of_work({name: work.after for name, work in self.work.items()})

    @property
    def missing(self) -> tuple[str, ...]:
        """Work that is not estimated, and waits of which nobody has said how long."""
        work = [name for name, work in self.work.items() if work.hours is None]
        return (*work, *(name for name, wait in self.waits.items() if wait.until is None))


def _one_of(values: Floats, shares: Floats) -> Floats:
    """Equally likely values, smallest first, at these shares."""
    drawn: Floats = values[np.minimum((shares * len(values)).astype(np.intp), len(values) - 1)]
    return drawn
