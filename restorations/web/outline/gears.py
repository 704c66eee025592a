"""Valve gears, each suggested by the parts a member would look for; drawn about the crank like the motion."""

from __future__ import annotations

import math
from collections.abc import Callable

from restorations.web.outline.motion import CRANK_ANGLE, Motion
from restorations.web.outline.sheet import Pen
from restorations.web.outline.svg import FINE, polar, xy


def draw_gear(pen: Pen, motion: Motion, gear: str) -> None:
    """Draw the named gear; one that is not known is drawn as a bare eccentric and rod, hidden."""
    _GEARS.get(gear, _fixed_eccentric)(pen, motion)


def weighshaft(motion: Motion, gear: str) -> tuple[float, float] | None:
    """Return where the reach rod takes hold of the gear, or None where there is nothing to reverse by it."""
    shaft = _WEIGHSHAFTS.get(gear)
    return shaft(motion) if shaft else None


def _link_centre(motion: Motion) -> tuple[float, float]:
    return (-0.58 * motion.rod, motion.valve_line)


def _link_shaft(motion: Motion) -> tuple[float, float]:
    x, y = _link_centre(motion)
    return (x + 0.5 * motion.throw, y - 1.15 * motion.throw)


def _bar(pen: Pen, motion: Motion, start: tuple[float, float], end: tuple[float, float], width: float = 0.0) -> None:
    """Draw a thin flat rod between two pins."""
    half = width or 0.07 * motion.throw + 0.7
    length = math.hypot(end[0] - start[0], end[1] - start[1]) or 1.0
    dx, dy = -(end[1] - start[1]) / length * half, (end[0] - start[0]) / length * half
    pen.path(
        motion.line,
        f"M {start[0] + dx} {start[1] + dy} L {end[0] + dx} {end[1] + dy} "
        f"L {end[0] - dx} {end[1] - dy} L {start[0] - dx} {start[1] - dy} Z",
        paper=not motion.inside,
    )
    for x, y in (start, end):
        pen.circle(motion.line, x, y, 1.7 * half, paper=not motion.inside)


def _spindle(pen: Pen, motion: Motion, end: float) -> None:
    """Draw the valve spindle from the chest to where the gear takes hold."""
    start, y = -motion.reach + 0.8 * motion.half, motion.valve_line
    pen.path(
        motion.line,
        f"M {start} {y - 0.3 * motion.chest} h {0.25 * motion.throw} v {0.6 * motion.chest} H {start}",
    )
    pen.path(
        motion.line,
        f"M {start + 0.25 * motion.throw} {y - 1} H {end} M {start + 0.25 * motion.throw} {y + 1} H {end}",
    )
    pen.place("valve_spindle", (start + end) / 2, y, 10)


def _eccentric(pen: Pen, motion: Motion, angle: float, end: tuple[float, float]) -> None:
    """Draw a sheave, its strap and its rod to `end`."""
    offset = 0.3 * motion.throw
    x, y = offset * math.cos(angle), offset * math.sin(angle)
    sheave = 0.56 * motion.throw
    pen.circle(motion.line, x, y, sheave)
    pen.circle(motion.line, x, y, sheave + 0.14 * motion.throw)
    length = math.hypot(end[0] - x, end[1] - y)
    grip = (sheave + 0.14 * motion.throw) / length
    _bar(pen, motion, (x + (end[0] - x) * grip, y + (end[1] - y) * grip), end)
    pen.place("eccentric", x, y, sheave + 0.3 * motion.throw)


def _fixed_eccentric(pen: Pen, motion: Motion) -> None:
    x, y = _link_centre(motion)
    _eccentric(pen, motion, CRANK_ANGLE - math.radians(115), (x, y))
    _spindle(pen, motion, x)
    pen.circle(motion.line, x, y, 0.18 * motion.throw)


def _slip_eccentric(pen: Pen, motion: Motion) -> None:
    _fixed_eccentric(pen, motion)
    collar = 0.34 * motion.throw
    pen.circle(motion.line, 0, 0, collar)
    angle = CRANK_ANGLE + math.radians(60)
    pen.path(
        motion.line,
        f"M {collar * math.cos(angle)} {collar * math.sin(angle)} l {xy(polar(0.3 * motion.throw, angle))}",
    )


def _reversing_block(pen: Pen, motion: Motion) -> None:
    _fixed_eccentric(pen, motion)
    x, y = -motion.reach, motion.valve_line - motion.chest
    pen.path(motion.line, f"M {x - 6} {y} v -9 h 12 v 9 M {x} {y - 5} l 13 -11")
    pen.place("reverser", x, y - 6, 11)


def _curved_link(pen: Pen, motion: Motion, x: float, y: float) -> float:
    """Draw a slotted link bowed towards the valve; return half its height."""
    half, bow, wide = 0.82 * motion.throw, 0.16 * motion.throw, 0.17 * motion.throw
    top, foot = y - half, y + half
    pen.path(
        motion.line,
        f"M {x + bow - wide} {top} Q {x - bow - wide} {y} {x + bow - wide} {foot} L {x + bow + wide} {foot} "
        f"Q {x - bow + wide} {y} {x + bow + wide} {top} Z",
        paper=not motion.inside,
    )
    pen.path(FINE, f"M {x + bow} {top + 2} Q {x - bow} {y} {x + bow} {foot - 2}")
    pen.place("expansion_link", x, y, 1.05 * half)
    return half


def _weighshaft(pen: Pen, motion: Motion, drop: tuple[float, float]) -> None:
    x, y = _link_shaft(motion)
    _bar(pen, motion, (x, y), drop)
    pen.circle(motion.line, x, y, 0.2 * motion.throw + 1, paper=not motion.inside)
    pen.place("weighshaft", x, y, 10)


def _stephenson(pen: Pen, motion: Motion) -> None:
    x, y = _link_centre(motion)
    half = 0.82 * motion.throw
    for sign in (-1, 1):
        _eccentric(pen, motion, CRANK_ANGLE + sign * math.radians(112), (x + 0.2 * motion.throw, y - sign * 0.9 * half))
    pen.place("eccentric.fore_gear", *polar(0.3 * motion.throw, CRANK_ANGLE + math.radians(112)), 0.8 * motion.throw)
    pen.place("eccentric.back_gear", *polar(0.3 * motion.throw, CRANK_ANGLE - math.radians(112)), 0.8 * motion.throw)
    _spindle(pen, motion, x)
    _curved_link(pen, motion, x, y)
    pen.circle(motion.line, x, y, 0.16 * motion.throw + 0.6)
    _weighshaft(pen, motion, (x, y - 0.3 * motion.throw))


def _walschaerts(pen: Pen, motion: Motion) -> None:
    x, y = _link_centre(motion)
    throw, bore, pin = motion.throw, motion.bore, motion.pin
    crank = polar(0.62 * throw, CRANK_ANGLE - math.radians(62))
    foot = (x + 0.3 * throw, y + 1.42 * throw)
    lever = -motion.reach + motion.half + 0.95 * throw
    half = _curved_link(pen, motion, x, y)
    _bar(pen, motion, (x + 0.16 * throw, y + half), foot)
    _bar(pen, motion, crank, foot)
    _bar(pen, motion, pin, crank, 0.15 * throw + 1)
    _bar(pen, motion, (lever + 0.1 * throw, y - 0.3 * throw), (x, y + 0.45 * half))
    _bar(pen, motion, (lever + 0.25 * throw, 0.95 * bore), (motion.crosshead, 0.85 * bore))
    _bar(pen, motion, (lever, y), (lever + 0.25 * throw, 0.95 * bore))
    _spindle(pen, motion, lever)
    pen.circle(motion.line, x, y, 0.16 * throw + 0.6)
    _weighshaft(pen, motion, (x + 0.1 * throw, y - 0.2 * throw))
    pen.place("return_crank", (pin[0] + crank[0]) / 2, (pin[1] + crank[1]) / 2, 0.55 * throw)
    pen.place("eccentric", (pin[0] + crank[0]) / 2, (pin[1] + crank[1]) / 2, 0.55 * throw)


def _joy(pen: Pen, motion: Motion) -> None:
    pin, cross, y, throw = motion.pin, motion.crosshead, motion.valve_line, motion.throw
    joint = (cross + 0.42 * (pin[0] - cross), 0.42 * pin[1])
    low, guide = (joint[0] + 0.15 * throw, 1.15 * motion.bore), (joint[0] - 0.1 * throw, y + 0.1 * throw)
    top = (guide[0] - 0.25 * throw, y - 0.7 * throw)
    spindle = -motion.reach + motion.half + 0.5 * throw
    pen.path(motion.line, f"M {guide[0] - throw} {guide[1] + 0.35 * throw} q {throw} 0 {2 * throw} {-0.8 * throw}")
    pen.path(motion.line, f"M {guide[0] - throw} {guide[1] + 0.7 * throw} q {throw} 0 {2 * throw} {-0.8 * throw}")
    _bar(pen, motion, joint, low)
    _bar(pen, motion, low, (low[0] - 1.6 * throw, 1.2 * motion.bore))
    _bar(pen, motion, (joint[0] + 0.08 * throw, 0.7 * motion.bore), top)
    _bar(pen, motion, top, (spindle, y))
    _spindle(pen, motion, spindle)
    pen.place("expansion_link", *guide, throw)
    pen.place("weighshaft", *guide, 0.6 * throw)


def _hackworth(pen: Pen, motion: Motion) -> None:
    y, throw = motion.valve_line, motion.throw
    guide = (-1.0 * throw, 1.55 * y)
    middle = (0.6 * guide[0], 0.68 * guide[1])
    pen.path(
        motion.line,
        f"M {guide[0] - throw} {guide[1] + 0.5 * throw} l {2 * throw} {-throw} m {0.1 * throw} {0.3 * throw}",
    )
    pen.path(motion.line, f"M {guide[0] - 0.9 * throw} {guide[1] + 0.8 * throw} l {2 * throw} {-throw}")
    _eccentric(pen, motion, CRANK_ANGLE + math.pi, guide)
    spindle = -motion.reach + motion.half + 0.5 * throw
    _bar(pen, motion, middle, (spindle, y))
    _spindle(pen, motion, spindle)
    pen.place("expansion_link", *guide, throw)
    pen.place("weighshaft", *guide, 0.6 * throw)


def _guide_pin(motion: Motion) -> tuple[float, float]:
    return (-1.0 * motion.throw, 1.55 * motion.valve_line)


def _slide_pin(motion: Motion) -> tuple[float, float]:
    return (motion.crosshead + 0.42 * (motion.pin[0] - motion.crosshead) + 0.7 * motion.throw, motion.valve_line)


_GEARS: dict[str, Callable[[Pen, Motion], None]] = {
    "slip_eccentric": _slip_eccentric,
    "fixed_eccentric": _fixed_eccentric,
    "stephenson": _stephenson,
    "walschaerts": _walschaerts,
    "joy": _joy,
    "hackworth": _hackworth,
    "reversing_block": _reversing_block,
}
_WEIGHSHAFTS: dict[str, Callable[[Motion], tuple[float, float]]] = {
    "stephenson": _link_shaft,
    "walschaerts": _link_shaft,
    "joy": _slide_pin,
    "hackworth": _guide_pin,
}
