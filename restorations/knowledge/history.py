"""What is known of an engine's past, and the class of base rate that follows from it."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from itertools import product
from math import isfinite
from typing import Any

from restorations.knowledge.configuration import NOT_KNOWN

ANSWERS = ("yes", "no", NOT_KNOWN)
STORED = ("damp", "drained", "dry", "oiled")
YES_NO_KEYS = ("ever_ran", "ran_well_when_put_away", "rebuilt_since", "first_run_done")
CLASSES = ("freshly_assembled", "idle_for_years", "in_regular_use")
IDLE_FROM_YEARS = 2.0


class InvalidHistoryAnswers(ValueError):
    """An answer about the past that cannot be; names the field and what was expected."""


@dataclass(frozen=True, slots=True)
class HistoryAnswers:
    """Answers for one system, or for the whole engine. `stored` empty and `years` None mean not known."""

    ever_ran: str = NOT_KNOWN
    ran_well_when_put_away: str = NOT_KNOWN
    rebuilt_since: str = NOT_KNOWN
    stored: frozenset[str] = frozenset()
    years: float | None = None
    first_run_done: str = NOT_KNOWN
    why_stopped: str = ""

    def __post_init__(self) -> None:
        for key in YES_NO_KEYS:
            if getattr(self, key) not in ANSWERS:
                raise InvalidHistoryAnswers(f"{key}: {getattr(self, key)!r} is none of {', '.join(ANSWERS)}")
        if not self.stored <= set(STORED):
            raise InvalidHistoryAnswers(f"stored: {sorted(self.stored)} may hold only {', '.join(STORED)}")
        if {"damp", "dry"} <= self.stored:
            raise InvalidHistoryAnswers("stored: damp and dry cannot both be so")
        if self.years is not None and not (isfinite(self.years) and self.years >= 0):
            raise InvalidHistoryAnswers(f"years: {self.years} should be 0 or more, or nothing when not known")

    def as_mapping(self) -> dict[str, Any]:
        """Return the answers as plain data."""
        answers = {key: getattr(self, key) for key in YES_NO_KEYS}
        return {**answers, "stored": sorted(self.stored), "years": self.years, "why_stopped": self.why_stopped}

    @classmethod
    def from_mapping(cls, mapping: Mapping[str, Any]) -> HistoryAnswers:
        """Build from plain data."""
        return cls(**{**mapping, "stored": frozenset(mapping.get("stored", ()))})


@dataclass(frozen=True, slots=True)
class History:
    """Answers for the engine, and for a system where they differ."""

    general: HistoryAnswers = HistoryAnswers()
    by_system: Mapping[str, HistoryAnswers] = field(default_factory=dict)

    def answers(self, system: str) -> HistoryAnswers:
        """Return the answers that hold for a system."""
        return self.by_system.get(system, self.general)

    def as_mapping(self) -> dict[str, Any]:
        """Return the answers as plain data."""
        by_system = {system: answers.as_mapping() for system, answers in sorted(self.by_system.items())}
        return {"general": self.general.as_mapping(), "by_system": by_system}

    @classmethod
    def from_mapping(cls, mapping: Mapping[str, Any]) -> History:
        """Build from plain data."""
        by_system = {key: HistoryAnswers.from_mapping(value) for key, value in mapping.get("by_system", {}).items()}
        return cls(HistoryAnswers.from_mapping(mapping.get("general", {})), by_system)


def class_shares(answers: HistoryAnswers) -> dict[str, float]:
    """Share equal weights over the classes of base rate that the answers leave possible."""
    possible = _possible_classes(answers)
    return {name: 1 / len(possible) for name in possible}


def history_class(answers: HistoryAnswers) -> str | None:
    """Return the one class of base rate that the answers leave, or None where they leave several."""
    possible = _possible_classes(answers)
    return possible[0] if len(possible) == 1 else None


def _possible_classes(answers: HistoryAnswers) -> tuple[str, ...]:
    rebuilt = answers.rebuilt_since == "yes"
    if (answers.ever_ran == "no" and answers.first_run_done != "yes") or (rebuilt and answers.first_run_done == "no"):
        return ("freshly_assembled",)
    # Years answered and nothing said of a rebuild: the years decide, or every long-idle engine would count half as new.
    if answers.years is not None:
        by_years = "idle_for_years" if answers.years >= IDLE_FROM_YEARS else "in_regular_use"
        return ("freshly_assembled", by_years) if rebuilt and answers.first_run_done == NOT_KNOWN else (by_years,)
    has_run = answers.first_run_done == "yes" or (answers.ever_ran == "yes" and answers.rebuilt_since == "no")
    return CLASSES[1:] if has_run else CLASSES


def completions(answers: HistoryAnswers, keys: frozenset[str]) -> Iterator[tuple[HistoryAnswers, float]]:
    """Give every way of filling in the named answers that are not known, with equal weights that add up to 1."""
    options = {
        key: ("yes", "no") if getattr(answers, key) == NOT_KNOWN else (getattr(answers, key),)
        for key in YES_NO_KEYS
        if key in keys
    }
    stores = _possible_stores(answers.stored) if "stored" in keys else [answers.stored]
    ways = list(product(stores, *options.values()))
    for stored, *values in ways:
        filled = {**dict(zip(options, values, strict=True)), "stored": stored}
        yield _replaced(answers, filled), 1 / len(ways)


def _possible_stores(stored: frozenset[str]) -> list[frozenset[str]]:
    """Damp or dry where neither was said; oiled and drained are open only where nothing at all was said."""
    climates = [frozenset[str]()] if stored & {"damp", "dry"} else [frozenset({"damp"}), frozenset({"dry"})]
    if stored:
        return [stored | climate for climate in climates]
    care = [frozenset[str](), frozenset({"oiled"}), frozenset({"drained"}), frozenset({"oiled", "drained"})]
    return [climate | kept for climate in climates for kept in care]


def _replaced(answers: HistoryAnswers, filled: Mapping[str, Any]) -> HistoryAnswers:
    return HistoryAnswers(**{**answers.as_mapping(), **filled})
