"""Expands the knowledge for one engine: its sides, ends, axles and fittings, with rates from its history."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field, replace
from itertools import chain
from math import prod
from typing import TypeVar

from restorations.knowledge.configuration import Configuration
from restorations.knowledge.engine import (
    EngineKnowledge,
    Placed,
    PlacedCause,
    PlacedCheck,
    PlacedFinding,
    PlacedLink,
    PlacedPart,
    PlacedRemedy,
)
from restorations.knowledge.entries import Action, Cause, Check, Condition, Finding, Link
from restorations.knowledge.grid import Placement, placements, sides_of
from restorations.knowledge.history import CLASSES, History, HistoryAnswers, class_shares, completions
from restorations.knowledge.loader import Knowledge
from restorations.knowledge.places import VALUES, Place, placed_id, split_id
from restorations.knowledge.rules import in_use
from restorations.knowledge.wording import in_words

_SomePlaced = TypeVar("_SomePlaced", bound=Placed)

UNLISTED = "unlisted"
UNLISTED_RATE = 0.05
UNLISTED_STRENGTHS = (0.3, 0.1, 0.03)
_UNLISTED_ENTRY = Cause(
    id=UNLISTED,
    file="",
    system="",
    title="Something that is not on this list",
    status="in_use",
    basis="judgement",
    source="common_practice",
    place=(),
    sides="cylinders",
    at="frame",
    applies={},
    rate=dict.fromkeys(CLASSES, UNLISTED_RATE),
    per="engine",
    when=(),
    remedies=(),
    explain="No list is complete. Where this rises, hand over to somebody who can look with fresh eyes.",
    dangerous=False,
)


def expand(knowledge: Knowledge, configuration: Configuration, history: History) -> EngineKnowledge:
    """Return what the knowledge holds for an engine of this build and this past."""
    return _Expansion(knowledge, configuration, history).engine()


def reweighed(
    engine: EngineKnowledge, knowledge: Knowledge, configuration: Configuration, history: History
) -> EngineKnowledge:
    """Return an engine's knowledge with the probabilities of other base rates or another past; all else is shared."""
    return engine.with_causes(_by_id(_Expansion(knowledge, configuration, history).placed_causes()))


def base_rate(cause: Cause, answers: HistoryAnswers) -> float:
    """Return a cause's rate for these history answers; what is not known gives the mean over its alternatives."""
    by_class = sum(share * cause.rate[name] for name, share in class_shares(answers).items())
    keys = frozenset(chain.from_iterable(factor.answers for factor in cause.when))
    return sum(weight * _with_factors(by_class, cause, filled) for filled, weight in completions(answers, keys))


def _with_factors(rate: float, cause: Cause, answers: HistoryAnswers) -> float:
    times = prod(factor.times for factor in cause.when if _holds(factor.answers, answers))
    odds = times * rate / (1 - rate)
    return odds / (1 + odds)


def _holds(named: Mapping[str, tuple[str, ...]], answers: HistoryAnswers) -> bool:
    return all(
        bool(answers.stored.intersection(values)) if key == "stored" else getattr(answers, key) in values
        for key, values in named.items()
    )


@dataclass(slots=True)
class _Expansion:
    knowledge: Knowledge
    configuration: Configuration
    history: History
    parts: dict[str, PlacedPart] = field(default_factory=dict)
    causes: dict[str, PlacedCause] = field(default_factory=dict)
    findings: dict[str, PlacedFinding] = field(default_factory=dict)

    def engine(self) -> EngineKnowledge:
        self.parts = _by_id(self._parts())
        self.causes = _by_id(self.placed_causes())
        self.findings = _by_id(self._findings())
        return EngineKnowledge(
            causes=self.causes,
            findings=self.findings,
            checks=_by_id(self._checks()),
            remedies=_by_id(self._remedies()),
            parts=self.parts,
            conditions={condition.id: self._condition(condition) for condition in in_use(self.knowledge.conditions)},
            kind=self.configuration.kind,
        )

    def _parts(self) -> Iterator[PlacedPart]:
        for part in in_use(self.knowledge.parts):
            if self.configuration.share(part.applies) > 0:
                for at in placements(part.place, part.sides, self.configuration, part.feeds):
                    yield PlacedPart(placed_id(part.id, at.place), at.place, self._words(at.place), part)

    def _condition(self, condition: Condition) -> Condition:
        if self.configuration.share(condition.applies) > 0:
            return condition
        return replace(condition, values=(condition.absent,), assumed=condition.absent)

    def placed_causes(self) -> Iterator[PlacedCause]:
        for cause in in_use(self.knowledge.causes):
            places = placements(cause.place, cause.sides, self.configuration, cause.feeds)
            probability = self._probability(cause, len(places))
            if probability > 0:
                for at in places:
                    yield PlacedCause(
                        placed_id(cause.id, at.place), at.place, self._words(at.place), cause, probability
                    )
        yield PlacedCause(UNLISTED, Place(), "", _UNLISTED_ENTRY, UNLISTED_RATE)

    def _probability(self, cause: Cause, places: int) -> float:
        share = self.configuration.share(cause.applies)
        divisor = places if cause.per == "engine" else 1
        return share * base_rate(cause, self.history.answers(cause.system)) / divisor if share and places else 0.0

    def _findings(self) -> Iterator[PlacedFinding]:
        at_entry = _grouped(self.causes.values())
        for finding in in_use(self.knowledge.findings):
            if self.configuration.share(finding.applies) > 0:
                for at in placements(finding.place, finding.sides, self.configuration, finding.feeds):
                    links = dict(self._links(finding, at, at_entry))
                    if links:
                        yield self._placed_finding(finding, at.place, links)

    def _placed_finding(self, finding: Finding, place: Place, links: Mapping[str, PlacedLink]) -> PlacedFinding:
        unlisted = PlacedLink(UNLISTED_STRENGTHS[: len(finding.leak)], (), {})
        everything = dict(sorted({**links, UNLISTED: unlisted}.items()))
        return PlacedFinding(placed_id(finding.id, place), place, self._words(place), finding, everything)

    def _links(
        self, finding: Finding, at: Placement, at_entry: Mapping[str, list[PlacedCause]]
    ) -> Iterator[tuple[str, PlacedLink]]:
        for link in finding.links:
            for cause in at_entry.get(link.cause, ()):
                source = Placement(cause.place, sides_of(cause.entry.sides, self.configuration))
                if source.is_across(at) if link.across else source.meets(at):
                    through = self._through(link, cause.place.joined(at.place))
                    yield cause.id, PlacedLink(link.strengths, through, link.when)

    def _through(self, link: Link, place: Place) -> tuple[frozenset[str], ...]:
        items = (self._parts_named(names, place) for names in link.through)
        return tuple(parts for parts in items if parts)

    def _parts_named(self, names: Iterable[str], place: Place) -> frozenset[str]:
        """Return the parts that the names mean at a place; a name with a place of its own is not moved."""
        found: set[str] = set()
        for name in names:
            part_id, own = split_id(name)
            wanted = own.joined(place)
            found.update(part.id for part in self._parts_of(part_id) if self._is_at(part, wanted))
        return frozenset(found)

    def _parts_of(self, part_id: str) -> list[PlacedPart]:
        return [part for part in self.parts.values() if part.entry.id == part_id]

    def _is_at(self, part: PlacedPart, wanted: Place) -> bool:
        sides = sides_of(part.entry.sides, self.configuration)
        # What wants the part may be on any side, the part only on its own.
        return Placement(part.place, sides).meets(Placement(wanted, VALUES["side"]))

    def _checks(self) -> Iterator[PlacedCheck]:
        for check in in_use(self.knowledge.checks):
            if self.configuration.share(check.applies) > 0:
                places = self._examinations(check) if check.examines else self._looks(check)
                for place, target in places:
                    yield self._placed_check(check, place, target)

    def _examinations(self, check: Check) -> Iterator[tuple[Place, str]]:
        for cause in self.causes.values():
            if cause.entry.id == check.examines:
                yield cause.place, cause.id

    def _looks(self, check: Check) -> Iterator[tuple[Place, str]]:
        # A look with a part off that this engine does not have would repeat the plain look.
        if not all(self._parts_of(split_id(name)[0]) for name in check.needs_off):
            return
        for finding in self.findings.values():
            if finding.entry.id == check.answers:
                target = Placement(finding.place, sides_of(finding.entry.sides, self.configuration))
                for at in placements(check.place, check.sides, self.configuration):
                    if at.meets(target):
                        yield finding.place.joined(at.place), finding.id

    def _placed_check(self, check: Check, place: Place, target: str) -> PlacedCheck:
        off, fitted = self._set_up(check, place)
        return PlacedCheck(placed_id(check.id, place), place, self._words(place), check, off, fitted, target)

    def _set_up(self, action: Action, place: Place) -> tuple[frozenset[str], frozenset[str]]:
        off = self._parts_named(action.needs_off, place)
        return off, self._parts_named(action.needs_fitted, place) - off

    def _remedies(self) -> Iterator[PlacedRemedy]:
        cured: dict[tuple[str, Place], set[str]] = {}
        for cause in self.causes.values():
            for remedy_id in cause.entry.remedies:
                cured.setdefault((remedy_id, cause.place), set()).add(cause.id)
        for (remedy_id, place), causes in cured.items():
            remedy = self.knowledge.remedies[remedy_id]
            if self.configuration.share(remedy.applies) > 0:
                off, fitted = self._set_up(remedy, place)
                words = self._words(place)
                yield PlacedRemedy(placed_id(remedy_id, place), place, words, remedy, off, fitted, frozenset(causes))

    def _words(self, place: Place) -> str:
        return in_words(place, self.configuration)


def _grouped(causes: Iterable[PlacedCause]) -> dict[str, list[PlacedCause]]:
    found: dict[str, list[PlacedCause]] = {}
    for cause in causes:
        found.setdefault(cause.entry.id, []).append(cause)
    return found


def _by_id(placed: Iterable[_SomePlaced]) -> dict[str, _SomePlaced]:
    return dict(sorted({item.id: item for item in placed}.items()))
