"""Cylinder, piston rod, crosshead and connecting rod, drawn about the crank they turn.

Every engine here has the same motion; only where it stands and which way it points differs. The cylinder lies
on the negative x axis, the steam chest on the negative y side.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from restorations.web.outline.sheet import Pen
from restorations.web.outline.svg import FINE, HIDDEN, OUTLINE, Stroke, xy

CRANK_ANGLE = math.radians(68)  # towards the cylinder's far side and down: rods and return crank stand clear


@dataclass(frozen=True, slots=True)
class Motion:
    """Sizes of one cylinder and its crank, in sheet units."""

    throw: float
    reach: float  # crank to middle of cylinder
    bore: float  # half the outside height of the cylinder
    inside: bool = False
    piston_valve: bool = False

    @property
    def half(self) -> float:
        """Half the length of the cylinder."""
        return 1.15 * self.throw + 0.25 * self.bore

    @property
    def rod(self) -> float:
        """Length of the connecting rod that leaves room for gland and crosshead."""
        return self.reach - self.half - 2.0 * self.throw

    @property
    def pin(self) -> tuple[float, float]:
        """Where the crankpin stands."""
        return (self.throw * math.cos(CRANK_ANGLE), self.throw * math.sin(CRANK_ANGLE))

    @property
    def crosshead(self) -> float:
        """Where the crosshead stands for that crankpin."""
        x, y = self.pin
        return x - math.sqrt(self.rod**2 - y**2)

    @property
    def chest(self) -> float:
        """Half the height of the steam chest."""
        return 0.42 * self.bore

    @property
    def valve_line(self) -> float:
        """Height of the valve spindle."""
        return -self.bore - self.chest

    @property
    def line(self) -> Stroke:
        """The pen for edges: what lies between the frames is hidden detail."""
        return HIDDEN if self.inside else OUTLINE


def draw_cylinder(pen: Pen, motion: Motion) -> None:
    """Draw cylinder, covers, gland and steam chest."""
    x, half, bore, line = -motion.reach, motion.half, motion.bore, motion.line
    solid = not motion.inside
    _chest(pen, motion)
    pen.path(line, f"M {x - half} {-bore} H {x + half} V {bore} H {x - half} Z", paper=solid)
    lip = 0.13 * bore + 1.4
    for end in (x - half - lip, x + half):
        pen.path(line, f"M {end} {-1.12 * bore} h {lip} V {1.12 * bore} h {-lip} Z", paper=solid)
    if solid:
        for band in (-0.5, 0.5):
            pen.path(FINE, f"M {x + band * half - 1.2} {-bore} V {bore} M {x + band * half + 1.2} {-bore} V {bore}")
    gland = x + half + lip
    pen.path(line, f"M {gland} {-0.36 * bore} h {0.34 * motion.throw} V {0.36 * bore} h {-0.34 * motion.throw}")
    pen.path(line, f"M {x - half - lip} {-0.5 * bore} q {-0.3 * bore} {0.5 * bore} 0.0 {bore}")
    pen.place("cylinder", x, 0, 0.95 * bore)
    pen.place("cylinder_cover", x - half, 0, 0.8 * bore)
    pen.place("cylinder_cover.front", x - half, 0, 0.8 * bore)
    pen.place("cylinder_cover.back", x + half, 0, 0.8 * bore)
    pen.place("piston_gland", gland + 0.15 * motion.throw, 0, 0.55 * bore)


def _chest(pen: Pen, motion: Motion) -> None:
    x, y, c, line = -motion.reach, motion.valve_line, motion.chest, motion.line
    half = 0.8 * motion.half
    if motion.piston_valve:
        half = 1.05 * motion.half
        pen.path(line, f"M {x - half} {y - c} H {x + half} q {0.5 * c} {c} 0.0 {2 * c} H {x - half}")
        pen.path(line, f"M {x - half} {y - c} q {-0.5 * c} {c} 0.0 {2 * c}")
        for edge in (-0.86, 0.86):
            pen.path(FINE, f"M {x + edge * half} {y - c} v {2 * c}")
    else:
        pen.path(line, f"M {x - half} {y + c} V {y - c} H {x + half} V {y + c}", paper=not motion.inside)
        pen.path(FINE, f"M {x - half} {y - 0.55 * c} H {x + half}")
    pen.place("steam_chest", x, y, 1.25 * c)
    pen.place("steam_chest.front", x - half, y, 1.25 * c)
    pen.place("steam_chest.back", x + half, y, 1.25 * c)


def draw_rods(pen: Pen, motion: Motion) -> None:
    """Draw slide bars, piston rod, crosshead and connecting rod."""
    line, bore, throw = motion.line, motion.bore, motion.throw
    cover, cross = -motion.reach + motion.half + 0.13 * bore + 1.4, motion.crosshead
    end = -motion.rod + 1.5 * throw
    solid = not motion.inside
    for y in (-0.5 * bore, 0.5 * bore):
        pen.path(line, f"M {cover} {y - 1.2} H {end} v 2.4 H {cover}")
    pen.path(line, f"M {end} {-0.9 * bore} V {0.72 * bore} h 2.4 V {-0.9 * bore}")
    pen.path(line, f"M {cover + 0.34 * throw} -1.3 H {cross} M {cover + 0.34 * throw} 1.3 H {cross}")
    _connecting_rod(pen, motion)
    block = 0.42 * throw
    pen.path(line, f"M {cross - block} {-0.5 * bore} h {2 * block} V {0.5 * bore} h {-2 * block} Z", paper=solid)
    pen.circle(line, cross, 0, 0.16 * bore + 1)
    pen.place("crosshead", cross, 0, 0.8 * bore)
    pen.place("slide_bars", end - 0.35 * throw, -0.5 * bore, 0.6 * bore)


def _connecting_rod(pen: Pen, motion: Motion) -> None:
    (x, y), cross, line = motion.pin, motion.crosshead, motion.line
    solid = not motion.inside
    small, big = 0.13 * motion.throw + 1.2, 0.2 * motion.throw + 1.6
    length = math.hypot(x - cross, y)
    across, along = -y / length, (x - cross) / length
    edges = [(cross + side * small * across, side * small * along) for side in (1, -1)]
    far = [(x + side * big * across, y + side * big * along) for side in (-1, 1)]
    pen.path(line, f"M {xy(edges[0])} L {xy(edges[1])} L {xy(far[0])} L {xy(far[1])} Z", paper=solid)
    pen.circle(line, x, y, 1.55 * big, paper=solid)
    pen.circle(line, x, y, 0.7 * big)
    pen.place("connecting_rod", (x + cross) / 2, y / 2, 13)
    pen.place("crankpin", x, y, 1.9 * big)
