"""What happened on the bench: looks, inspections and remedies, in the order they were made."""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from numbers import Integral

from restorations.calc.diagnosis.errors import InvalidHistory
from restorations.calc.diagnosis.model import CausalModel


@dataclass(frozen=True, slots=True)
class Observed:
    """A finding was looked at.

    Attributes
    ----------
    finding : str - name in the model.
    level : int - what was seen; 0 means looked, and not so.
    inactive : frozenset of str - causes that could not act in this look (parts off, conditions not met).
    fresh : bool - True if the finding may have come out otherwise than last time though nothing was done.
    """

    finding: str
    level: int
    inactive: frozenset[str] = frozenset()
    fresh: bool = False

    def __str__(self) -> str:
        without = f" with {', '.join(sorted(map(str, self.inactive)))} unable to act" if self.inactive else ""
        return f"{self.finding} seen at level {self.level}{without}"


@dataclass(frozen=True, slots=True)
class Inspected:
    """The part was looked at directly.

    Attributes
    ----------
    cause : str - name in the model.
    present : bool - whether it seemed to be there.
    sensitivity : float - P(seems to be there | it is), 0..1.
    false_alarm : float - P(seems to be there | it is not), 0..1.
    """

    cause: str
    present: bool
    sensitivity: float = 0.95
    false_alarm: float = 0.02

    def __str__(self) -> str:
        return f"{self.cause} inspected and {'found' if self.present else 'not found'}"


@dataclass(frozen=True, slots=True)
class Remedied:
    """A cause was treated. An act, not evidence: whether it helped shows in later looks.

    Attributes
    ----------
    cause : str - name in the model.
    success : float - P(cured | the cause was there), 0..1.
    """

    cause: str
    success: float = 0.9

    def __str__(self) -> str:
        return f"{self.cause} remedied"


Event = Observed | Inspected | Remedied


def check_history(model: CausalModel, history: Sequence[Event]) -> tuple[Event, ...]:
    """Return the events as a tuple, or raise InvalidHistory naming the first that does not fit the model."""
    for number, event in enumerate(history, start=1):
        where = f"Event {number} ({event})"
        if isinstance(event, Observed):
            _check_look(model, event, where)
        elif isinstance(event, Inspected):
            _check_cause(model, event.cause, where)
            _check_probability(event.sensitivity, f"{where}: the sensitivity")
            _check_probability(event.false_alarm, f"{where}: the false alarm rate")
        elif isinstance(event, Remedied):
            _check_cause(model, event.cause, where)
            _check_probability(event.success, f"{where}: the success")
        else:
            raise InvalidHistory(f"Event {number} must be Observed, Inspected or Remedied, not {event!r}.")
    return tuple(history)


def _check_look(model: CausalModel, look: Observed, where: str) -> None:
    if not isinstance(look.finding, str) or look.finding not in model.finding_index:
        raise InvalidHistory(f"{where}: {look.finding!r} is not a finding of this model.")
    top = model.levels(look.finding) - 1
    if isinstance(look.level, bool) or not isinstance(look.level, Integral):
        raise InvalidHistory(f"{where}: the level must be a whole number, not {look.level!r}.")
    if not 0 <= look.level <= top:
        raise InvalidHistory(f"{where}: the level must be from 0 to {top}; it is {look.level}.")
    if not isinstance(look.inactive, frozenset | set):
        raise InvalidHistory(f"{where}: inactive must be a set of causes, not {look.inactive!r}.")
    for cause in look.inactive:
        _check_cause(model, cause, where)


def _check_cause(model: CausalModel, cause: str, where: str) -> None:
    if not isinstance(cause, str) or cause not in model.cause_index:
        raise InvalidHistory(f"{where}: {cause!r} is not a cause of this model.")


def _check_probability(value: float, what: str) -> None:
    if isinstance(value, bool) or not isinstance(value, int | float):
        raise InvalidHistory(f"{what} must be a number from 0 to 1, not {value!r}.")
    if not (math.isfinite(value) and 0.0 <= value <= 1.0):
        raise InvalidHistory(f"{what} must be from 0 to 1; it is {value}.")
