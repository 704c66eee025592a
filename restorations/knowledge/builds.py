"""Finds causes that some build of engine can have, but no finding to show them or no remedy to put them right."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import product
from math import prod
from typing import TYPE_CHECKING

from restorations.knowledge.configuration import lawful_values
from restorations.knowledge.entries import Applies, Cause
from restorations.knowledge.rules import in_use
from restorations.knowledge.tables import Offender

if TYPE_CHECKING:
    from restorations.knowledge.loader import Knowledge

MOST_BUILDS = 20_000
TOO_MANY = "this cause with what shows and cures it names too many fields of the build to be checked; expected fewer"
Build = dict[str, str | int]


def causes_left_alone(knowledge: Knowledge) -> list[Offender]:
    """List causes that apply to a build to which none of their remedies, or none of their findings, applies."""
    found = []
    for cause in in_use(knowledge.causes):
        remedies = [knowledge.remedies[name] for name in cause.remedies if name in knowledge.remedies]
        findings = [
            finding for finding in in_use(knowledge.findings) if any(link.cause == cause.id for link in finding.links)
        ]
        for field, entries in (("remedies", remedies), ("findings", findings)):
            named = [entry.applies for entry in entries]
            if _count([cause.applies, *named]) > MOST_BUILDS:
                found.append(Offender(cause.file, cause.id, "applies", TOO_MANY))
                continue
            build = _build_without(cause, named)
            if entries and build is not None:
                words = ", ".join(f"{name} {value}" for name, value in build.items())
                found.append(Offender(cause.file, cause.id, field, f"none of them applies to an engine with {words}"))
    return found


def _build_without(cause: Cause, others: Sequence[Applies]) -> Build | None:
    """Return a build that the cause applies to and none of the others, over the fields that any of them names."""
    if any(not applies for applies in others):
        return None
    for build in _builds([cause.applies, *others]):
        if _fits(cause.applies, build) and not any(_fits(applies, build) for applies in others):
            return build
    return None


def _builds(named: Sequence[Applies]) -> Iterator[Build]:
    fields = _fields(named)
    for values in product(*(lawful_values(field) for field in fields)):
        yield dict(zip(fields, values, strict=True))


def _count(named: Sequence[Applies]) -> int:
    return prod(len(lawful_values(field)) for field in _fields(named))


def _fields(named: Sequence[Applies]) -> list[str]:
    return sorted({field for applies in named for field in applies})


def _fits(applies: Applies, build: Build) -> bool:
    return all(build[field] in values for field, values in applies.items())
