"""A stationary engine with a rocking cylinder: cylinder below, crankshaft above, both on one standard."""

from __future__ import annotations

from restorations.knowledge.configuration import Configuration
from restorations.web.outline.fixed_parts import add_motion, draw_flywheel, draw_oil_cup
from restorations.web.outline.motion import Motion
from restorations.web.outline.sheet import GROUND, Pen, Sheet
from restorations.web.outline.svg import FINE, OUTLINE
from restorations.web.outline.upright_boiler import HALF, draw_upright_boiler, tap_boiler

CRANK = (262.0, 116.0)
BASE = 268.0
HANGING = -90.0


def draw_rocking(configuration: Configuration) -> Sheet:
    """Draw the engine and make its parts tappable."""
    sheet = Sheet(top=8.0)
    motion = Motion(25.0, 98.0, 31.0)
    with sheet.pen() as pen:
        draw_flywheel(pen, *CRANK, 84)
        _standard(pen)
        _pipes(pen, configuration, motion)
        pen.place("wheels", CRANK[0] + 58, CRANK[1] - 40, 24)
        pen.place("axlebox", *CRANK, 20)
        pen.place("frame", CRANK[0] - 60, 250, 15)
    add_motion(sheet, configuration, *CRANK, motion, HANGING)
    for region, name, at in _PARTS:
        sheet.tap(region, name, at)
    tap_boiler(sheet)
    return sheet


def _standard(pen: Pen) -> None:
    """Draw the standard that carries shaft and trunnion, and the base under it."""
    x, y = CRANK
    pen.path(
        OUTLINE,
        f"M {x - 17} {y} q 0 -18 17 -18 t 17 18 C {x + 22} {y + 60} {x + 62} 216 {x + 74} {BASE} H {x - 74} "
        f"C {x - 62} 216 {x - 22} {y + 60} {x - 17} {y} Z",
        paper=True,
    )
    pen.path(OUTLINE, f"M {x - 108} {BASE} h 216 v 11 h -8 V {GROUND} h -200 V {BASE + 11} h -8 Z", paper=True)
    for bolt in (-92, 92):
        pen.path(OUTLINE, f"M {x + bolt - 6} {BASE} v -5 h 12 v 5")
    pen.path(FINE, f"M 8 {GROUND + 0.8} H 512")


def _pipes(pen: Pen, configuration: Configuration, motion: Motion) -> None:
    """Draw steam pipe with its stop valve to one side of the port block and the exhaust to the other."""
    x, y = CRANK[0], CRANK[1] + motion.reach
    near, far = x + 1.2 * motion.bore, 430.0
    pen.path(OUTLINE, f"M {near} {y - 6} H {far} m 0 12 H {near}")
    pen.path(OUTLINE, f"M {near + 58} {y - 11} h 20 v 22 h -20 Z m 10 0 v -14 m -12 0 h 24", paper=True)
    out = x - 1.2 * motion.bore
    pen.path(OUTLINE, f"M {out} {y - 7} H 120 q -12 0 -12 12 V 236 m 14 0 V {y + 13} q 0 -6 6 -6 H {out}")
    if configuration.boiler == "none":
        pen.path(FINE, f"M {far} {y - 12} q 4 6 0 12 t 0 12")
    draw_upright_boiler(pen, configuration, far + HALF, 120, 1)
    if configuration.lubricator != "none":
        draw_oil_cup(pen, near + 26, y - 6)
    pen.place("regulator", near + 68, y - 4, 20)
    pen.place("steam_pipe", near + 100, y, 13)
    pen.place("exhaust", 126, y, 14)


_PARTS = (
    ("cylinders", "Cylinder, covers and gland", "cylinder"),
    ("steam_chest", "Port block", "steam_chest"),
    ("lubricator", "Lubricator and oil pipes", "lubricator"),
    ("regulator", "Stop valve and steam pipe", "regulator"),
    ("wheels", "Flywheel", "wheels"),
    ("crankshaft", "Crankshaft and bearings", "axlebox"),
    ("frame", "Standard and base", "frame"),
    ("smokebox", "Exhaust", "exhaust"),
)
