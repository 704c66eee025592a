"""Entries of the knowledge files, as frozen dataclasses."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

Applies = Mapping[str, tuple[str | int, ...]]
# Each item must be fitted; an item of several part names is carried by any one of them.
Through = tuple[tuple[str, ...], ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Entry:
    """What every entry carries: where it stands, what it is called and where it comes from."""

    id: str
    file: str
    system: str
    title: str
    status: str
    basis: str
    source: str
    replaced_by: tuple[str, ...] = ()
    note: str = ""
    reviewed_by: str = ""
    reviewed_on: str = ""

    @property
    def is_in_use(self) -> bool:
        """Say whether the entry counts; drafts and withdrawn entries only stay readable."""
        return self.status == "in_use"


@dataclass(frozen=True, slots=True, kw_only=True)
class Part(Entry):
    """What force, steam or oil passes through, with the attended minutes to take it off and put it back."""

    place: tuple[str, ...]
    sides: str
    minutes_off: float
    minutes_refit: float
    applies: Applies
    can_be: tuple[str, ...] = ()
    is_state: bool = False
    feeds: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Condition(Entry):
    """A state of the engine in which a look is made, with the one assumed when nobody says.

    On an engine that has no such thing it always has the value `absent`.
    """

    values: tuple[str, ...]
    assumed: str
    absent: str
    applies: Applies


@dataclass(frozen=True, slots=True)
class Factor:
    """History answers that multiply a cause's odds, where all of them hold."""

    answers: Mapping[str, tuple[str, ...]]
    times: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Cause(Entry):
    """What can be wrong, with its base rates per history class."""

    place: tuple[str, ...]
    sides: str
    at: str
    applies: Applies
    rate: Mapping[str, float]
    per: str
    when: tuple[Factor, ...]
    remedies: tuple[str, ...]
    explain: str
    dangerous: bool
    feeds: tuple[str, ...] = ()
    """Of a cause at a feed: the feeds it can be at; all where none is named. The same for parts and findings."""


@dataclass(frozen=True, slots=True)
class Link:
    """How strongly one cause, acting alone, shows in a finding: P(level > k)."""

    cause: str
    strengths: tuple[float, ...]
    through: Through
    when: Mapping[str, tuple[str, ...]]
    across: str
    basis: str
    source: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Finding(Entry):
    """What can be observed, graded; level 0 is "looked, not so"."""

    words: tuple[str, ...]
    place: tuple[str, ...]
    sides: str
    at: str
    ask: str
    levels: tuple[str, ...]
    leak: tuple[float, ...]
    dangerous: bool
    stop: str
    stops: str = ""
    """What a dangerous finding puts out of use: the engine, or the boiler, which only an inspector gives back."""
    card: str = ""
    """The emergency card that belongs to it."""
    requires: Mapping[str, str]
    expects_off: tuple[str, ...]
    expects_fitted: tuple[str, ...]
    applies: Applies
    links: tuple[Link, ...]
    feeds: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Action(Entry):
    """What checks and remedies share: how it is done, what it needs, what it can hurt, who may say yes."""

    how: str
    tools: tuple[str, ...]
    minutes: float
    waiting_days: float
    needs_off: tuple[str, ...]
    needs_fitted: tuple[str, ...]
    needs: frozenset[str]
    excludes: frozenset[str]
    uses: frozenset[str]
    risk_engine: int
    risk_person: int
    authority: str
    cautions: tuple[str, ...]
    making_safe: bool
    applies: Applies

    @property
    def is_risky(self) -> bool:
        """Say whether the step waits for a go-ahead; making safe never does."""
        grave = self.risk_engine >= 2 or self.risk_person >= 2 or self.authority != "member"
        return grave and not self.making_safe

    @property
    def risk(self) -> float:
        """Return the risk to engine and person together, 0 to 6, for pricing one step against another."""
        return float(self.risk_engine + self.risk_person)


@dataclass(frozen=True, slots=True, kw_only=True)
class Check(Action):
    """A look at one finding (`answers`) or straight at one cause (`examines`), in one set-up."""

    place: tuple[str, ...]
    sides: str
    answers: str
    examines: str
    sensitivity: float
    false_alarm: float
    conditions: Mapping[str, str]
    meaning: Mapping[str, str]


@dataclass(frozen=True, slots=True, kw_only=True)
class Remedy(Action):
    """What puts a cause right, with the chance that it does."""

    success: float
    cannot_be_undone: bool
    puts_solvent: bool
    waits_in: str = ""
    """What it waits in or for: the fluid of a soak, a compound that sets."""


@dataclass(frozen=True, slots=True)
class Source:
    """Where a number or a rule comes from."""

    id: str
    file: str
    title: str
    details: Mapping[str, str] = field(default_factory=dict)
