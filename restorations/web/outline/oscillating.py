"""An oscillating cylinder: it rocks on a trunnion, and its own movement opens the ports."""

from __future__ import annotations

import math

from restorations.web.outline.motion import Motion
from restorations.web.outline.sheet import Pen, Sheet
from restorations.web.outline.svg import FINE


def draw_oscillating(sheet: Sheet, x: float, y: float, motion: Motion, turn: float = 0.0, where: str = "") -> None:
    """Draw the cylinder on its trunnion with its rod on the crankpin; (x, y) is the crank."""
    with sheet.pen(x, y, turn, where) as pen:
        _port_face(pen, motion)
        pen.place("crankpin", *motion.pin, 0.3 * motion.throw + 4)
    pin_x, pin_y = motion.pin
    swing = math.degrees(math.atan2(pin_y, pin_x + motion.reach))
    cos, sin = math.cos(math.radians(turn)), math.sin(math.radians(turn))
    with sheet.pen(x - motion.reach * cos, y - motion.reach * sin, turn + swing, where) as pen:
        _cylinder(pen, motion, math.hypot(pin_x + motion.reach, pin_y))


def _port_face(pen: Pen, motion: Motion) -> None:
    """Draw the block the cylinder rocks against, with its steam and exhaust ports."""
    x, half, bore = -motion.reach, 0.75 * motion.half, 1.2 * motion.bore
    pen.path(motion.line, f"M {x - half} {-bore} h {2 * half} v {2 * bore} h {-2 * half} Z")
    for end in (-1, 1):
        for side in (-0.45, 0.45):
            pen.circle(FINE, x + end * 0.8 * half, side * bore, 1.8)
    for at in ("steam_chest", "valve_spindle"):
        pen.place(at, x + 0.6 * half, -0.8 * bore, 11)


def _cylinder(pen: Pen, motion: Motion, pin: float) -> None:
    """Draw the cylinder about its trunnion, pointing at the crankpin `pin` away."""
    half, bore, line = motion.half, 0.72 * motion.bore, motion.line
    solid = not motion.inside
    pen.path(line, f"M {-half} {-bore} H {half} V {bore} H {-half} Z", paper=solid)
    for end in (-half - 2.5, half):
        pen.path(line, f"M {end} {-1.15 * bore} h 2.5 V {1.15 * bore} h -2.5 Z", paper=solid)
    pen.path(line, f"M {half + 2.5} {-0.35 * bore} h {0.3 * motion.throw} V {0.35 * bore} h {-0.3 * motion.throw}")
    pen.path(line, f"M {half + 2.5 + 0.3 * motion.throw} -1.4 H {pin}")
    pen.path(line, f"M {half + 2.5 + 0.3 * motion.throw} 1.4 H {pin}")
    pen.circle(line, pin, 0, 0.22 * motion.throw + 2, paper=solid)
    pen.circle(line, pin, 0, 0.1 * motion.throw + 1)
    pen.circle(line, 0, 0, 0.38 * bore, paper=solid)
    pen.circle(line, 0, 0, 0.16 * bore)
    pen.place("cylinder", 0, 0, 1.15 * bore)
    pen.place("cylinder_cover", -half, 0, bore)
    pen.place("cylinder_cover.front", -half, 0, bore)
    pen.place("cylinder_cover.back", half, 0, bore)
    pen.place("piston_gland", half + 2.5 + 0.15 * motion.throw, 0, 0.7 * bore)
