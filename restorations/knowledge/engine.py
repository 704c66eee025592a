"""The knowledge as it is for one engine: every cause, finding, check, remedy and part at its place."""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from functools import cached_property
from hashlib import sha256
from typing import TYPE_CHECKING, Any

from restorations.knowledge.configuration import NOT_KNOWN
from restorations.knowledge.entries import Cause, Check, Condition, Entry, Finding, Part, Remedy
from restorations.knowledge.facts import EngineFacts
from restorations.knowledge.gates import Gate, gates_of
from restorations.knowledge.places import Place
from restorations.knowledge.wording import said_at, titled_at

if TYPE_CHECKING:
    from restorations.calc.diagnosis import CausalModel, Options
    from restorations.knowledge.prices import Prices


class UnknownEntry(KeyError):
    """An id that this engine's knowledge does not have."""

    def __str__(self) -> str:
        return str(self.args[0])


class UnknownCondition(ValueError):
    """A condition of a look, or a value of one, that the knowledge does not have."""


@dataclass(frozen=True, slots=True)
class Placed:
    """An entry at a place of one engine; `where` is the place in words, empty for the whole engine."""

    id: str
    place: Place
    where: str
    entry: Entry

    @property
    def name(self) -> str:
        """The title with the place named in it, or in brackets after it."""
        return titled_at(self.entry.title, self.where)

    def said(self, text: str) -> str:
        """A text of the entry with "this side", "this end" and "this axle" named."""
        return said_at(text, self.where)


@dataclass(frozen=True, slots=True)
class PlacedPart(Placed):
    """A part that can be off."""

    entry: Part


@dataclass(frozen=True, slots=True)
class PlacedCause(Placed):
    """A cause with its probability on this engine before anything is seen."""

    entry: Cause
    probability: float


@dataclass(frozen=True, slots=True)
class PlacedLink:
    """How a cause shows in a finding. Each set of `through` has at least one part that must be fitted."""

    strengths: tuple[float, ...]
    through: tuple[frozenset[str], ...]
    when: Mapping[str, tuple[str, ...]]

    def is_silent(self, off: frozenset[str], conditions: Mapping[str, str]) -> bool:
        """Say whether parts that are off, or the conditions of the look, keep the cause from showing."""
        parted = any(parts <= off for parts in self.through)
        return parted or any(conditions[name] not in values for name, values in self.when.items())


@dataclass(frozen=True, slots=True)
class PlacedFinding(Placed):
    """A finding with its links by cause id."""

    entry: Finding
    links: Mapping[str, PlacedLink]

    @property
    def question(self) -> str:
        """What is asked at the bench, with the place named."""
        return titled_at(self.entry.ask, self.where)


@dataclass(frozen=True, slots=True)
class PlacedAction(Placed):
    """A check or remedy with the placed parts it needs off and fitted."""

    needs_off: frozenset[str]
    needs_fitted: frozenset[str]


@dataclass(frozen=True, slots=True)
class PlacedCheck(PlacedAction):
    """A check; `target` is the placed finding it answers or the placed cause it examines."""

    entry: Check
    target: str


@dataclass(frozen=True, slots=True)
class PlacedRemedy(PlacedAction):
    """A remedy with the placed causes it cures."""

    entry: Remedy
    causes: frozenset[str]


# No slots: the model and the checksum are worked out once, when first asked for.
@dataclass(frozen=True)
class EngineKnowledge:
    """Everything the knowledge says of one engine, by placed id, sorted."""

    causes: Mapping[str, PlacedCause]
    findings: Mapping[str, PlacedFinding]
    checks: Mapping[str, PlacedCheck]
    remedies: Mapping[str, PlacedRemedy]
    parts: Mapping[str, PlacedPart]
    conditions: Mapping[str, Condition]
    kind: str = NOT_KNOWN

    @property
    def mapping(self) -> dict[str, Any]:
        """The causal model as plain data."""
        return {
            "causes": {cause_id: cause.probability for cause_id, cause in self.causes.items()},
            "findings": {
                finding_id: {
                    "leak": list(finding.entry.leak),
                    "links": {cause_id: list(link.strengths) for cause_id, link in finding.links.items()},
                }
                for finding_id, finding in self.findings.items()
            },
        }

    @cached_property
    def model(self) -> CausalModel:
        """The causal model."""
        from restorations.calc.diagnosis import CausalModel

        return CausalModel.from_mapping(self.mapping)

    @cached_property
    def structure(self) -> str:
        """A checksum of everything but base rates and probabilities."""
        from restorations.knowledge.storage import structure_of

        return structure_of(self)

    @cached_property
    def checksum(self) -> str:
        """The same for the same content, also after storing."""
        from restorations.knowledge.storage import weights_of

        text = json.dumps([self.structure, weights_of(self)], sort_keys=True)
        return sha256(text.encode()).hexdigest()

    def with_causes(self, causes: Mapping[str, PlacedCause]) -> EngineKnowledge:
        """Return the same with other base rates and probabilities of its causes; the structure stays what it is."""
        other = replace(self, causes=causes)
        other.__dict__["structure"] = self.structure  # known: the causes are the same, weighed differently
        return other

    def as_mapping(self) -> dict[str, Any]:
        """Return plain data to store."""
        from restorations.knowledge.storage import as_mapping

        return as_mapping(self)

    @classmethod
    def from_mapping(cls, mapping: Mapping[str, Any]) -> EngineKnowledge:
        """Build from stored data."""
        from restorations.knowledge.storage import from_mapping

        return from_mapping(mapping)

    def conditions_of_look(self, finding_id: str, conditions: Mapping[str, str] | None = None) -> dict[str, str]:
        """Return the full conditions of a look: those given, else the finding's own, else the assumed ones."""
        given = {**self._finding(finding_id).entry.requires, **self._lawful(conditions or {})}
        return {
            name: given.get(name, condition.assumed) if len(condition.values) > 1 else condition.assumed
            for name, condition in self.conditions.items()
        }

    def inactive(
        self, finding_id: str, *, off: frozenset[str] = frozenset(), conditions: Mapping[str, str] | None = None
    ) -> frozenset[str]:
        """Return the causes that cannot show in a look made with these parts off and in these conditions."""
        full = self.conditions_of_look(finding_id, conditions)
        links = self._finding(finding_id).links
        return frozenset(cause_id for cause_id, link in links.items() if link.is_silent(off, full))

    def explaining(self, findings: Iterable[str]) -> frozenset[str]:
        """Return the causes that can show in one of these findings: what is suspected when they are seen."""
        return frozenset(cause_id for finding_id in findings for cause_id in self._finding(finding_id).links)

    def gates(self, action_id: str, facts: EngineFacts) -> tuple[Gate, ...]:
        """Return the gates that are shut between an action and doing it now."""
        action = self.checks.get(action_id) or self.remedies.get(action_id)
        if action is None:
            raise UnknownEntry(f"this engine has no check or remedy {action_id!r}")
        return gates_of(action.entry, action_id, action.place, facts, self.kind)

    def options(
        self,
        *,
        facts: EngineFacts,
        complaint: tuple[str, ...],
        prices: Prices | None = None,
        bearing_on: frozenset[str] | None = None,
    ) -> Options:
        """Return everything that could be done next (and bears on certain causes), with the words of its gates."""
        from restorations.knowledge.options import options_of

        return options_of(self, facts, complaint, prices, bearing_on)

    def _finding(self, finding_id: str) -> PlacedFinding:
        if finding_id not in self.findings:
            raise UnknownEntry(f"this engine has no finding {finding_id!r}")
        return self.findings[finding_id]

    def _lawful(self, conditions: Mapping[str, str]) -> Mapping[str, str]:
        for name, value in conditions.items():
            condition = self.conditions.get(name)
            if condition is None:
                raise UnknownCondition(f"no condition {name!r}; there are {', '.join(self.conditions)}")
            if len(condition.values) > 1 and value not in condition.values:
                raise UnknownCondition(f"{name} {value!r}: expected one of {', '.join(condition.values)}")
        return conditions
