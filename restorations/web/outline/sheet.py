"""The sheet a drawing grows on: what has been drawn, where each part lies, and what may be tapped."""

from __future__ import annotations

import math
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from typing import NamedTuple

from restorations.web.outline import svg
from restorations.web.outline.svg import Stroke

WIDTH = 520.0
HEIGHT = 352.0
GROUND = 304.0
TAP = 65.0  # an eighth of the width: 44 px where the sheet is 356 px wide, a 390 px phone less its margins


class Anchor(NamedTuple):
    """Where a part lies on the sheet: centre and the radius of the ring drawn about it."""

    x: float
    y: float
    radius: float


@dataclass(frozen=True, slots=True)
class Zone:
    """A part that can be tapped: its region's id, its name, and the point a thumb would aim at."""

    region: str
    name: str
    x: float
    y: float


class Pen:
    """Draws about an origin of its own, which may be turned, and notes where parts come to lie on the sheet."""

    def __init__(self, sheet: Sheet, x: float, y: float, turn: float = 0.0, where: str = "") -> None:
        self.items: list[str] = []
        self._sheet, self._x, self._y, self._where = sheet, x, y, where
        self._cos, self._sin = math.cos(math.radians(turn)), math.sin(math.radians(turn))

    def path(self, stroke: Stroke, shape: str, *, paper: bool = False) -> None:
        self.items.append(svg.path(stroke, shape, paper=paper))

    def circle(self, stroke: Stroke, x: float, y: float, radius: float, *, paper: bool = False) -> None:
        self.items.append(svg.circle(stroke, x, y, radius, paper=paper))

    def place(self, at: str, x: float, y: float, radius: float) -> None:
        """Note that part `at` ("cylinder_cover.front") lies here; the first pen to name a part gives its place."""
        anchor = Anchor(
            self._x + x * self._cos - y * self._sin, self._y + x * self._sin + y * self._cos, max(radius, 9.0)
        )
        self._sheet.anchors.setdefault(at, anchor)
        if self._where:
            part, _, end = at.partition(".")
            self._sheet.anchors[".".join(filter(None, (part, self._where, end)))] = anchor


@dataclass(slots=True)
class Sheet:
    """An engine drawn from its left side, smokebox to the left; the right side is its mirror image."""

    items: list[str] = field(default_factory=list)
    anchors: dict[str, Anchor] = field(default_factory=dict)
    zones: list[Zone] = field(default_factory=list)
    top: float = 0.0  # upper edge of the sheet: low engines leave no empty paper above them

    @contextmanager
    def pen(self, x: float = 0.0, y: float = 0.0, turn: float = 0.0, where: str = "") -> Iterator[Pen]:
        """Draw about (x, y); what is drawn lands on the sheet when the block ends."""
        pen = Pen(self, x, y, turn, where)
        yield pen
        self.items.append(svg.turned(pen.items, x, y, turn) if (x, y, turn) != (0, 0, 0) else "".join(pen.items))

    def tap(self, region: str, name: str, at: str) -> None:
        """Make tappable where part `at` lies; a part that was not drawn is left out."""
        anchor = self.find(at, "")
        if anchor is not None:
            self.zones.append(Zone(region, name, anchor.x, anchor.y))

    def tap_point(self, region: str, name: str, x: float, y: float) -> None:
        """Make tappable a point of the sheet."""
        self.zones.append(Zone(region, name, x, y))

    def find(self, at: str, place: str) -> Anchor | None:
        """Return where part `at` lies, as finely as `place` says and the drawing knows."""
        words = place.split(".") if place else []
        for names in ((at, *words), *((at, word) for word in reversed(words)), (at,)):
            anchor = self.anchors.get(".".join(names))
            if anchor is not None:
                return anchor
        return None
