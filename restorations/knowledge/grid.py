"""The places that one engine has, and which of them belong together."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from itertools import product

from restorations.knowledge.configuration import Configuration
from restorations.knowledge.places import VALUES, Place


@dataclass(frozen=True, slots=True)
class Placement:
    """A place, with the sides that things of its kind can have on this engine."""

    place: Place
    sides: tuple[str, ...]

    def meets(self, other: Placement) -> bool:
        """Say whether the two are at one place. A side that the other kind does not have says nothing.

        So the one inside cylinder goes with the wheels of both sides.
        """
        return self._seen_from(other).meets(other._seen_from(self))

    def is_across(self, other: Placement) -> bool:
        """Say whether the two are on different sides and otherwise at one place."""
        mine, theirs = self.place, other.place
        both = mine.side and theirs.side and mine.side != theirs.side
        return bool(both) and replace(mine, side="").meets(replace(theirs, side=""))

    def _seen_from(self, other: Placement) -> Place:
        return self.place if self.place.side in ("", *other.sides) else replace(self.place, side="")


def sides_of(kind: str, configuration: Configuration) -> tuple[str, ...]:
    """Return the sides of "cylinders" or "wheels"."""
    return configuration.wheel_sides if kind == "wheels" else configuration.cylinder_sides


def placements(
    coordinates: Iterable[str], kind: str, configuration: Configuration, feeds: tuple[str, ...] = ()
) -> list[Placement]:
    """Return every place an entry has on an engine; one, the whole engine, where it names no coordinate.

    `feeds` are the only ones the entry can be at, all where it names none.
    """
    sides = sides_of(kind, configuration)
    named = tuple(coordinates)
    fed = tuple(feed for feed in configuration.feeds if not feeds or feed in feeds)
    values = {**VALUES, "side": sides, "axle": configuration.axles, "feed": fed}
    ways = product(*(values[coordinate] for coordinate in named))
    return [Placement(Place(**dict(zip(named, way, strict=True))), sides) for way in ways]
