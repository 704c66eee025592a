"""A marine engine: upright, cylinder over crankshaft on columns, seen along the shaft's side."""

from __future__ import annotations

from restorations.knowledge.configuration import Configuration
from restorations.web.outline.fixed_parts import add_motion, draw_flywheel, draw_oil_cup
from restorations.web.outline.gears import weighshaft
from restorations.web.outline.layout import oscillates
from restorations.web.outline.motion import Motion
from restorations.web.outline.sheet import GROUND, Pen, Sheet
from restorations.web.outline.svg import FINE, HIDDEN, OUTLINE
from restorations.web.outline.upright_boiler import HALF, draw_upright_boiler, tap_boiler

CRANK = (250.0, 252.0)
UPRIGHT = 90.0


def draw_marine(configuration: Configuration) -> Sheet:
    """Draw the engine and make its parts tappable."""
    sheet = Sheet(top=0.0)
    motion = Motion(22.0, 176.0, 34.0, piston_valve=configuration.valve == "piston")
    with sheet.pen() as pen:
        draw_flywheel(pen, *CRANK, 50)
        _standing(pen, motion)
        pen.place("wheels", CRANK[0], CRANK[1], 50)
        pen.place("axlebox", CRANK[0], CRANK[1], 20)
        pen.place("frame", CRANK[0] - 84, 190, 15)
    add_motion(sheet, configuration, *CRANK, motion, UPRIGHT)
    with sheet.pen() as pen:
        _steam_and_exhaust(pen, configuration, motion)
        _fittings(pen, configuration, motion)
        _reverser(pen, configuration, motion)
        if configuration.feed_pump != "none":
            _feed_pump(pen, motion)
    for region, name, at in _PARTS:
        sheet.tap(region, name, at)
    tap_boiler(sheet)
    return sheet


def _standing(pen: Pen, motion: Motion) -> None:
    """Draw bedplate, columns and the bearing cap."""
    x, y = CRANK
    top = y - motion.reach + motion.half + 6
    pen.path(OUTLINE, f"M {x - 140} 276 H {x + 140} v 10 H {x + 126} V {GROUND} H {x - 126} V 286 h -14 Z", paper=True)
    for way in (-1, 1):
        pen.path(
            OUTLINE,
            f"M {x + way * 98} 276 C {x + way * 78} 230 {x + way * 62} 180 {x + way * 50} {top} M {x + way * 76} 276 "
            f"C {x + way * 62} 236 {x + way * 48} 190 {x + way * 38} {top}",
        )
        pen.path(OUTLINE, f"M {x + way * 104} 276 v -7 h {way * -34} v 7")
    pen.path(OUTLINE, f"M {x - 54} {top} H {x + 54} v -6 H {x - 54} Z", paper=True)
    pen.path(OUTLINE, f"M {x - 26} 276 V {y} q 0 -25 26 -25 t 26 25 V 276", paper=True)
    pen.path(FINE, f"M 8 {GROUND + 0.8} H 512")


def _steam_and_exhaust(pen: Pen, configuration: Configuration, motion: Motion) -> None:
    x = CRANK[0] + (motion.bore + 2 * motion.chest if not oscillates(configuration) else 1.2 * motion.bore)
    y = CRANK[1] - motion.reach
    pen.path(OUTLINE, f"M {x} {y - 6} h 42 m 0 12 H {x} M {x + 42} {y - 11} h 22 v 22 h -22 Z")
    pen.path(OUTLINE, f"M {x + 53} {y - 11} v -14 m -12 0 h 24 M {x + 64} {y - 6} H 440 m 0 12 H {x + 64}")
    if configuration.boiler == "none":
        pen.path(FINE, f"M 440 {y - 12} q 4 6 0 12 t 0 12")
    draw_upright_boiler(pen, configuration, 440 + HALF, y - 14, 1)
    out = CRANK[0] - motion.bore
    pen.path(HIDDEN, f"M {out} {y - 7} H 96 m 0 14 H {out}")
    pen.path(FINE, f"M 96 {y - 12} q 4 6 0 12 t 0 12")
    pen.place("regulator", x + 53, y - 4, 20)
    pen.place("steam_pipe", x + 22, y, 13)
    pen.place("exhaust", out - 30, y, 13)


def _fittings(pen: Pen, configuration: Configuration, motion: Motion) -> None:
    """Draw the oil cup on the cylinder and the drain cocks at its ends."""
    x, y = CRANK[0], CRANK[1] - motion.reach
    if configuration.lubricator != "none":
        draw_oil_cup(pen, x + 16, y - motion.half - 6)
    if configuration.drain_cocks == "none":
        return
    for end, way in (("front", -1), ("back", 1)):
        cock = y + way * 0.72 * motion.half
        pen.path(OUTLINE, f"M {x - motion.bore} {cock} h -8 m 0 -3 v 6 m 0 -3 h -3 l -3 6")
        pen.circle(OUTLINE, x - motion.bore - 5, cock, 2.2)
        pen.place(f"drain_cocks.{end}", x - motion.bore - 7, cock, 11)
    pen.place("drain_cocks", x - motion.bore - 7, y + 0.72 * motion.half, 11)


def _reverser(pen: Pen, configuration: Configuration, motion: Motion) -> None:
    if configuration.reverser == "none":
        return
    x, y = CRANK[0] + 122, 212.0
    pen.path(OUTLINE, f"M {x} 276 L {x + 10} {y - 44} m -5 5 l -2 12")
    pen.path(FINE, f"M {x - 16} {y + 30} q 18 -10 36 3")
    shaft = None if oscillates(configuration) else weighshaft(motion, configuration.valve_gear)
    if shaft:  # the motion stands upright: its x runs down the sheet, its valve side to the right
        pen.path(HIDDEN, f"M {x + 6} {y - 10} L {CRANK[0] - shaft[1]} {CRANK[1] + shaft[0]}")
    pen.place("reverser", x + 9, y - 32, 17)


def _feed_pump(pen: Pen, motion: Motion) -> None:
    x, y = CRANK[0] - 122, 232.0
    pen.path(OUTLINE, f"M {x - 9} {y} h 18 v 44 h -18 Z M {x - 4} {y} v -12 h 8 v 20", paper=True)
    pen.path(
        OUTLINE,
        f"M {x} {y - 12} V {CRANK[1] + motion.crosshead + 8} L {CRANK[0]} {CRANK[1] + motion.crosshead} "
        f"M {x - 9} {y + 30} h -16 m 0 -5 v 10",
    )
    pen.place("feed_pump", x, y + 20, 24)


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
    ("wheels", "Crankshaft, bearings and flywheel", "axlebox"),
    ("frame", "Bedplate and columns", "frame"),
    ("smokebox", "Exhaust", "exhaust"),
)
