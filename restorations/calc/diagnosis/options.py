"""What can be done next on an engine: looks, examinations, remedies, and the parts they need off or fitted.

Times are attended minutes, waits are days, risk is a plain number that `Options.price_per_risk` turns into minutes.
Only what can be checked without a model is checked here; `Options.check` adds what needs the model's names.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass, field
from math import isfinite
from typing import Protocol

from restorations.calc.diagnosis.errors import InvalidModel

Through = tuple[frozenset[str], ...]
NOTHING: frozenset[str] = frozenset()


class InvalidOptions(InvalidModel):
    """A step, a part or a price is not lawful, or names what the model does not have; the message says which."""


class Names(Protocol):
    """The part of a causal model the options are checked against."""

    @property
    def causes(self) -> Collection[str]: ...

    @property
    def findings(self) -> Collection[str]: ...


@dataclass(frozen=True, slots=True)
class Part:
    """What it takes to have a part off and to have it back.

    Parameters
    ----------
    off_minutes : float - attended time to take it off [min], >= 0
    refit_minutes : float - attended time to fit it again [min], >= 0

    Raises
    ------
    InvalidOptions - a time that is negative or not a number
    """

    off_minutes: float
    refit_minutes: float

    def __post_init__(self) -> None:
        _not_negative("part", off_minutes=self.off_minutes, refit_minutes=self.refit_minutes)


@dataclass(frozen=True, slots=True)
class Look:
    """One look at one finding with the engine in one state.

    Parameters
    ----------
    name : str - id, unlike every other step's
    finding : str - the finding it answers; the outcome is that finding's level
    minutes : float - attended time without set-up [min], >= 0
    days : float - waiting [d], >= 0
    risk : float - risk to engine and person, priced by `Options.price_per_risk`, >= 0
    needs_off, needs_fitted : frozenset of part names - how the parts must stand
    inactive : frozenset of cause names - silenced by the conditions of this look
    through : mapping of cause to sets of parts - the cause acts through every set; a set carries it while any one
        part of it is fitted, so the cause is silent when all parts of one set are off
    gate : str - who must say yes, or what must be so first; empty when nothing stands in the way

    Raises
    ------
    InvalidOptions - a number out of range, or a part needed both off and fitted
    """

    name: str
    finding: str
    minutes: float
    days: float = 0.0
    risk: float = 0.0
    needs_off: frozenset[str] = NOTHING
    needs_fitted: frozenset[str] = NOTHING
    inactive: frozenset[str] = NOTHING
    through: Mapping[str, Through] = field(default_factory=dict, hash=False)
    gate: str = ""

    def __post_init__(self) -> None:
        _check_step(self)

    def silent(self, off: frozenset[str]) -> frozenset[str]:
        """The causes that cannot act in this look when these parts are off."""
        cut = {cause for cause, sets in self.through.items() if any(parts <= off for parts in sets)}
        return self.inactive | cut


@dataclass(frozen=True, slots=True)
class Examination:
    """A direct look at the part a cause sits in; the outcome is found or not found.

    Parameters
    ----------
    name : str - id, unlike every other step's
    cause : str - the cause looked for
    sensitivity : float - P(found | present), 0 to 1
    false_alarm : float - P(found | absent), 0 to 1
    minutes, days, risk, needs_off, needs_fitted, gate - as for `Look`

    Raises
    ------
    InvalidOptions - a number out of range, or a part needed both off and fitted
    """

    name: str
    cause: str
    sensitivity: float
    false_alarm: float
    minutes: float
    days: float = 0.0
    risk: float = 0.0
    needs_off: frozenset[str] = NOTHING
    needs_fitted: frozenset[str] = NOTHING
    gate: str = ""

    def __post_init__(self) -> None:
        _check_step(self)
        for label, value in (("sensitivity", self.sensitivity), ("false_alarm", self.false_alarm)):
            if not 0.0 <= value <= 1.0:
                raise InvalidOptions(f"{self.name}: {label} is {value!r}; a probability from 0 to 1 was expected")


@dataclass(frozen=True, slots=True)
class Remedy:
    """An act that cures the causes it names, each with the same chance.

    Parameters
    ----------
    name : str - id, unlike every other step's
    causes : frozenset of cause names - what it cures
    success : float - P(a named cause that is present is gone afterwards), above 0, up to 1
    minutes, days, risk, needs_off, needs_fitted, gate - as for `Look`

    Raises
    ------
    InvalidOptions - a number out of range, no cause, or a part needed both off and fitted
    """

    name: str
    causes: frozenset[str]
    success: float
    minutes: float
    days: float = 0.0
    risk: float = 0.0
    needs_off: frozenset[str] = NOTHING
    needs_fitted: frozenset[str] = NOTHING
    gate: str = ""

    def __post_init__(self) -> None:
        _check_step(self)
        if not self.causes:
            raise InvalidOptions(f"{self.name}: a remedy must name at least one cause it cures")
        if not 0.0 < self.success <= 1.0:
            raise InvalidOptions(f"{self.name}: success is {self.success!r}; above 0, up to 1 was expected")


@dataclass(frozen=True, slots=True)
class FunctionTest:
    """Everything fitted and the complaint looked at again; the outcome is 0 (gone) or 1 (still there)."""

    minutes: float
    name: str = "function test"
    gate: str = ""


@dataclass(frozen=True, slots=True)
class HandOver:
    """The engine goes to somebody who puts right whatever it is; ends the plan without a test of our own."""

    minutes: float
    name: str = "hand over"
    gate: str = ""


Check = Look | Examination
Planned = Check | Remedy
Step = Planned | FunctionTest | HandOver


@dataclass(frozen=True, slots=True)
class Options:
    """Everything that could be done next, how the parts stand now, and what time, risk and waiting are worth.

    Parameters
    ----------
    looks, examinations, remedies : tuples of steps; their order does not matter
    parts : mapping of part name to `Part`
    off : frozenset of part names - off the engine now
    complaint : tuple of finding names - the job is done when all are at level 0 with everything fitted
    test_minutes : float - attended time of the function test without refitting [min], >= 0
    price_per_risk : float - attended minutes one point of risk counts for [min], >= 0
    price_per_day : float - attended minutes one day of waiting counts for [min/d], >= 0
    hand_over_minutes : float - attended minutes to hand the engine over [min], >= 0
    test_inactive : mapping of finding to causes - silenced by the conditions the function test is made in
    examine_again : bool - examinations made already may be made once more, each time as a look of its own

    Raises
    ------
    InvalidOptions - two steps of one name, a part nobody described, no complaint, a number out of range
    """

    looks: tuple[Look, ...]
    examinations: tuple[Examination, ...]
    remedies: tuple[Remedy, ...]
    parts: Mapping[str, Part] = field(hash=False)
    off: frozenset[str]
    complaint: tuple[str, ...]
    test_minutes: float
    price_per_risk: float
    price_per_day: float
    hand_over_minutes: float
    test_inactive: Mapping[str, frozenset[str]] = field(default_factory=dict, hash=False)
    examine_again: bool = False

    def __post_init__(self) -> None:
        _not_negative(
            "options",
            test_minutes=self.test_minutes,
            price_per_risk=self.price_per_risk,
            price_per_day=self.price_per_day,
            hand_over_minutes=self.hand_over_minutes,
        )
        if not self.complaint:
            raise InvalidOptions("options: the complaint names no finding; at least one was expected")
        _no_twins(self.steps())
        _known("options", "part off now", self.off, self.parts)
        for step in self.steps():
            _known(step.name, "part", _parts_of(step), self.parts)

    def steps(self) -> tuple[Planned, ...]:
        """Looks, examinations and remedies, each kind by name, so that nothing depends on the order given."""
        kinds: tuple[Iterable[Planned], ...] = (self.looks, self.examinations, self.remedies)
        return tuple(step for kind in kinds for step in sorted(kind, key=lambda step: step.name))

    def check(self, model: Names) -> None:
        """Raise `InvalidOptions` when a step or the complaint names a cause or finding the model does not have."""
        _known("options", "finding of the complaint", self.complaint, model.findings)
        _known("options", "finding of `test_inactive`", self.test_inactive, model.findings)
        _known("options", "cause of `test_inactive`", NOTHING.union(*self.test_inactive.values()), model.causes)
        for step in self.steps():
            if isinstance(step, Look):
                _known(step.name, "finding", [step.finding], model.findings)
            _known(step.name, "cause", _causes_of(step), model.causes)


def _causes_of(step: Planned) -> Collection[str]:
    if isinstance(step, Look):
        return step.inactive | frozenset(step.through)
    return step.causes if isinstance(step, Remedy) else frozenset({step.cause})


def _parts_of(step: Planned) -> frozenset[str]:
    carried = step.through.values() if isinstance(step, Look) else ()
    return step.needs_off.union(step.needs_fitted, *(parts for sets in carried for parts in sets))


def _check_step(step: Planned) -> None:
    if not step.name:
        raise InvalidOptions("a step has no name")
    _not_negative(step.name, minutes=step.minutes, days=step.days, risk=step.risk)
    both = step.needs_off & step.needs_fitted
    if both:
        raise InvalidOptions(f"{step.name}: {', '.join(sorted(both))} cannot be needed both off and fitted")
    if isinstance(step, Look) and not all(parts for sets in step.through.values() for parts in sets):
        raise InvalidOptions(f"{step.name}: an empty set of parts in `through` would silence its cause for good")


def _not_negative(owner: str, **numbers: float) -> None:
    for label, value in numbers.items():
        if not (isfinite(value) and value >= 0.0):
            raise InvalidOptions(f"{owner}: {label} is {value!r}; a number of 0 or more was expected")


def _no_twins(steps: Iterable[Planned]) -> None:
    seen: set[str] = set()
    for step in steps:
        if step.name in seen:
            raise InvalidOptions(f"{step.name}: two steps have this name; each needs one of its own")
        seen.add(step.name)


def _known(owner: str, kind: str, names: Iterable[str], known: Collection[str]) -> None:
    unknown = sorted(set(names) - set(known))
    if unknown:
        raise InvalidOptions(f"{owner}: unknown {kind} {', '.join(map(repr, unknown))}")
