"""What road, stationary and marine engines share: flywheel, the motion in its place, fittings round the cylinder."""

from __future__ import annotations

import math

from restorations.knowledge.configuration import Configuration
from restorations.web.outline.fittings import draw_drain_cocks
from restorations.web.outline.gears import draw_gear
from restorations.web.outline.layout import oscillates
from restorations.web.outline.motion import Motion, draw_cylinder, draw_rods
from restorations.web.outline.oscillating import draw_oscillating
from restorations.web.outline.sheet import Pen, Sheet
from restorations.web.outline.svg import FINE, OUTLINE, polar, xy


def add_motion(
    sheet: Sheet, configuration: Configuration, x: float, y: float, motion: Motion, turn: float = 0.0
) -> None:
    """Draw crank web and motion about the crankshaft at (x, y)."""
    with sheet.pen(x, y, turn) as pen:
        _crank_web(pen, motion)
    if oscillates(configuration):
        draw_oscillating(sheet, x, y, motion, turn)
        return
    with sheet.pen(x, y, turn) as pen:
        draw_cylinder(pen, motion)
        draw_rods(pen, motion)
        draw_gear(pen, motion, configuration.valve_gear)


def _crank_web(pen: Pen, motion: Motion) -> None:
    x, y = motion.pin
    wide, narrow = 0.46 * motion.throw, 0.34 * motion.throw
    across, along = -y / motion.throw, x / motion.throw
    corners = [(wide * across, wide * along), (x + narrow * across, y + narrow * along)]
    corners += [(x - narrow * across, y - narrow * along), (-wide * across, -wide * along)]
    pen.path(OUTLINE, f"M {xy(corners[0])} L {xy(corners[1])} L {xy(corners[2])} L {xy(corners[3])} Z", paper=True)
    pen.circle(OUTLINE, 0, 0, 0.5 * motion.throw, paper=True)
    pen.circle(OUTLINE, 0, 0, 0.27 * motion.throw)


def draw_flywheel(pen: Pen, x: float, y: float, radius: float) -> None:
    """Draw a flywheel with six curved arms."""
    rim, hub = radius * 0.84, radius * 0.16
    pen.circle(OUTLINE, x, y, radius)
    pen.circle(FINE, x, y, rim)
    for arm in range(6):
        angle = math.radians(60 * arm + 20)
        for side in (-0.14, 0.14):
            start, bend, end = angle + 2.2 * side, angle + side + 0.22, angle + 0.8 * side
            pen.path(
                FINE,
                f"M {xy(polar(hub, start, x, y))} Q {xy(polar(0.5 * radius, bend, x, y))} {xy(polar(rim, end, x, y))}",
            )
    pen.circle(FINE, x, y, hub)


def draw_cylinder_fittings(pen: Pen, configuration: Configuration, at: tuple[float, float], motion: Motion) -> None:
    """Draw lubricator, its pipe and the drain cocks of a level cylinder whose middle is `at`."""
    x, y = at
    if configuration.drain_cocks != "none":
        draw_drain_cocks(pen, x, y, motion)
    if configuration.lubricator != "none":
        draw_oil_cup(pen, x - 0.45 * motion.half, y - motion.bore - 2 * motion.chest)


def draw_oil_cup(pen: Pen, cup: float, top: float) -> None:
    """Draw a displacement lubricator standing on `top`."""
    pen.path(OUTLINE, f"M {cup} {top} v -6 m -6 -13 h 12 v 10 q 0 3 -3 3 h -6 q -3 0 -3 -3 Z m 3 0 v -3 h 6 v 3")
    pen.place("lubricator", cup, top - 13, 13)
    pen.place("oil_pipe", cup, top - 2, 9)
