"""A stationary engine: level cylinder on a bed with a flywheel."""

from __future__ import annotations

from restorations.knowledge.configuration import Configuration
from restorations.web.outline.fixed_parts import add_motion, draw_cylinder_fittings, draw_flywheel
from restorations.web.outline.gears import weighshaft
from restorations.web.outline.layout import oscillates
from restorations.web.outline.motion import Motion
from restorations.web.outline.sheet import GROUND, Pen, Sheet
from restorations.web.outline.svg import FINE, HIDDEN, OUTLINE
from restorations.web.outline.upright import draw_rocking
from restorations.web.outline.upright_boiler import draw_upright_boiler, tap_boiler

CRANK = (378.0, 192.0)
BED = 238.0


def draw_stationary(configuration: Configuration) -> Sheet:
    """Draw the engine and make its parts tappable."""
    if oscillates(configuration):
        return draw_rocking(configuration)
    sheet = Sheet(top=14.0)
    motion = Motion(27.0, 256.0, 31.0, piston_valve=configuration.valve == "piston")
    with sheet.pen() as pen:
        draw_flywheel(pen, *CRANK, 104)
        _bed(pen, motion)
        pen.place("wheels", CRANK[0] + 66, CRANK[1] - 52, 26)
        pen.place("axlebox", *CRANK, 22)
        pen.place("frame", 250, 262, 16)
    add_motion(sheet, configuration, *CRANK, motion)
    with sheet.pen() as pen:
        _steam_pipe(pen, configuration, motion)
        draw_cylinder_fittings(pen, configuration, (CRANK[0] - motion.reach, CRANK[1]), motion)
        _reverser(pen, configuration, motion)
        if configuration.feed_pump != "none":
            _feed_pump(pen)
        pen.path(OUTLINE, f"M 8 {GROUND + 0.8} H 512")
    for region, name, at in _PARTS:
        sheet.tap(region, name, at)
    tap_boiler(sheet)
    return sheet


def _bed(pen: Pen, motion: Motion) -> None:
    """Draw the bed, the pedestal under the crankshaft and the feet under the cylinder."""
    x = CRANK[0]
    cylinder = x - motion.reach
    pen.path(OUTLINE, f"M 62 {BED} H 440 v 9 h -7 V 292 h 10 V {GROUND} H 59 V 292 h 10 V {BED + 9} h -7 Z", paper=True)
    for panel in (84, 202, 320):
        pen.path(FINE, f"M {panel} 258 q 0 -6 6 -6 h 86 q 6 0 6 6 v 24 q 0 6 -6 6 h -86 q -6 0 -6 -6 Z")
    pen.path(OUTLINE, f"M {x - 42} {BED} q 16 -5 18 -24 h 48 q 2 19 18 24", paper=True)
    pen.path(OUTLINE, f"M {x - 24} {BED - 24} v -16 q 0 -26 24 -26 t 24 26 v 16", paper=True)
    for foot in (-0.62, 0.62):
        pen.path(OUTLINE, f"M {cylinder + foot * motion.half - 11} {BED} l 4 -14 h 14 l 4 14")
    guide = x - motion.rod
    pen.path(OUTLINE, f"M {guide - 44} {BED} l 8 -24 h 72 l 8 24")


def _steam_pipe(pen: Pen, configuration: Configuration, motion: Motion) -> None:
    """Draw stop valve and steam pipe to the chest, and the exhaust pipe going below."""
    x = CRANK[0] - motion.reach
    top = CRANK[1] - motion.bore - 2.4 * motion.chest
    up = x + 0.3 * motion.half
    pen.path(OUTLINE, f"M {up - 6} {top + 3} V 88 M {up + 6} {top + 3} V 88 M {up - 10} {top} h 20")
    pen.path(OUTLINE, f"M {up - 10} 88 v -22 h 20 v 22 Z M {up} 66 v -13 M {up - 12} 53 h 24", paper=True)
    end = 30 if configuration.boiler == "none" else 50
    pen.path(OUTLINE, f"M {up - 10} 71 H {end} M {up - 10} 83 H {end}")
    if configuration.boiler == "none":
        pen.path(FINE, "M 30 66 q 4 5 0 11 t 0 11")
    draw_upright_boiler(pen, configuration, 29, 62, 1)
    low = CRANK[1] + motion.bore
    pen.path(HIDDEN, f"M {x - 6} {low} V {BED} M {x + 6} {low} V {BED}")
    pen.place("regulator", up, 72, 20)
    pen.place("steam_pipe", up, 106, 13)
    pen.place("exhaust", x, low + 10, 13)


def _reverser(pen: Pen, configuration: Configuration, motion: Motion) -> None:
    if configuration.reverser == "none":
        return
    foot = CRANK[0] - 0.36 * motion.rod
    top = CRANK[1] + motion.valve_line - 62
    pen.path(OUTLINE, f"M {foot} {BED} L {foot - 9} {top} m 4 6 l 4 12")
    pen.path(FINE, f"M {foot - 19} {BED - 16} q 17 -9 34 0")
    shaft = weighshaft(motion, configuration.valve_gear)
    if shaft:
        pen.path(HIDDEN, f"M {foot - 6} {top + 26} L {CRANK[0] + shaft[0]} {CRANK[1] + shaft[1]}")
    pen.place("reverser", foot - 8, top + 14, 17)


def _feed_pump(pen: Pen) -> None:
    x, y = 462.0, BED + 4
    pen.path(OUTLINE, f"M {x - 9} {y} h 18 v 40 h -18 Z M {x - 4} {y} v -16 h 8 v 16", paper=True)
    pen.path(OUTLINE, f"M {x} {y - 16} L {CRANK[0] + 16} {CRANK[1] + 10} M {x + 9} {y + 30} h 16 m 0 -5 v 10")
    pen.place("feed_pump", x, y + 18, 24)


_PARTS = (
    ("cylinders", "Cylinder, covers and gland", "cylinder"),
    ("steam_chest", "Steam chest and valve", "steam_chest"),
    ("lubricator", "Lubricator and oil pipes", "lubricator"),
    ("drain_cocks", "Drain cocks", "drain_cocks"),
    ("valve_gear", "Valve gear", "eccentric"),
    ("reverser", "Reverser", "reverser"),
    ("feed_pump", "Feed pump", "feed_pump"),
    ("connecting_rods", "Connecting rod, crosshead and slide bars", "crosshead"),
    ("regulator", "Stop valve and steam pipe", "regulator"),
    ("wheels", "Flywheel", "wheels"),
    ("crankshaft", "Crankshaft and bearings", "axlebox"),
    ("frame", "Bed", "frame"),
    ("smokebox", "Exhaust", "exhaust"),
)
