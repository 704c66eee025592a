"""The drawing in words: for those who do not see it, and for the line under it."""

from __future__ import annotations

from collections.abc import Iterable

from restorations.knowledge.configuration import CHOICES, LOCOMOTIVES, NOT_KNOWN, Configuration
from restorations.web.outline.layout import oscillates
from restorations.web.outline.marks import Mark


def facing(configuration: Configuration, side: str) -> str:
    """Say which side is seen and which way it faces."""
    if configuration.kind == "stationary_engine" and oscillates(configuration):
        return f"{side.capitalize()} side, cylinder below the crankshaft"
    if configuration.kind == "marine_engine":
        return f"{side.capitalize()} side, cylinder above"
    front = "cylinder" if configuration.kind == "stationary_engine" else "smokebox"
    return f"{side.capitalize()} side, {front} to the {side}"


def describe(configuration: Configuration, side: str, marks: Iterable[Mark]) -> tuple[str, str]:
    """Return the drawing's title and its description, the marks included."""
    ringed = [f"{mark.number}: {mark.words or mark.at.replace('_', ' ')}" for mark in marks]
    seen = f"Ringed: {'; '.join(ringed)}." if ringed else "Nothing is ringed."
    return (f"Outline of a {_kind(configuration)}", f"{facing(configuration, side)}. {seen}")


def _kind(configuration: Configuration) -> str:
    if configuration.kind == NOT_KNOWN:
        return "engine of a kind not yet known, drawn as a tank locomotive"
    words = CHOICES["kind"][configuration.kind]
    if configuration.kind in LOCOMOTIVES and configuration.coupled_axles:
        return f"{words}, {configuration.coupled_axles} driven axle{'s' if configuration.coupled_axles > 1 else ''}"
    return words
