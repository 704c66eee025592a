"""A traction engine: boiler on road wheels, cylinder on the boiler, crank over the firebox."""

from __future__ import annotations

import math

from restorations.knowledge.configuration import Configuration
from restorations.web.outline.boiler_parts import place_parts
from restorations.web.outline.fixed_parts import add_motion, draw_cylinder_fittings, draw_flywheel
from restorations.web.outline.gears import weighshaft
from restorations.web.outline.layout import oscillates
from restorations.web.outline.motion import Motion
from restorations.web.outline.sheet import GROUND, Anchor, Pen, Sheet
from restorations.web.outline.svg import FINE, HIDDEN, OUTLINE, polar, xy

CRANK = (330.0, 108.0)
BOILER, BARREL = 176.0, 34.0
REAR = (372.0, GROUND - 78, 78.0)
FRONT = (112.0, GROUND - 43, 43.0)


def draw_road_engine(configuration: Configuration) -> Sheet:
    """Draw the engine and make its parts tappable."""
    sheet = Sheet(top=0.0)
    motion = Motion(16.0, 156.0, 19.0, piston_valve=configuration.valve == "piston")
    with sheet.pen() as pen:
        _boiler(pen)
        _tender(pen)
        _front_axle(pen)
        _road_wheel(pen, *FRONT, 10)
        _road_wheel(pen, *REAR, 14)
        pen.place("wheels", REAR[0], REAR[1], REAR[2] + 4)
        pen.place("axlebox", REAR[0], REAR[1], 17)
        pen.place("truck", FRONT[0], FRONT[1], FRONT[2] + 3)
        if configuration.brake != "none":
            _brake(pen)
    with sheet.pen() as pen:
        draw_flywheel(pen, *CRANK, 52)
        pen.place("crankshaft", CRANK[0] + 34, CRANK[1] + 26, 14)
        pen.place("frame", 334, 226, 14)
        place_parts(pen, configuration, _ON_THE_BOILER)
    add_motion(sheet, configuration, *CRANK, motion)
    with sheet.pen() as pen:
        _controls(pen, configuration, motion)
        draw_cylinder_fittings(pen, configuration, (CRANK[0] - motion.reach, CRANK[1]), motion)
        if configuration.feed_pump != "none":
            _feed_pump(pen)
        pen.path(OUTLINE, f"M 8 {GROUND + 0.8} H 512")
    for region, name, at in _PARTS:
        sheet.tap(region, name, at)
    return sheet


def _boiler(pen: Pen) -> None:
    top, low = BOILER - BARREL, BOILER + BARREL
    pen.path(OUTLINE, f"M 138 {top} H 296 V {low} H 138 Z", paper=True)
    for band in (190, 244):
        pen.path(FINE, f"M {band} {top} V {low} M {band + 2.4} {top} V {low}")
    pen.path(OUTLINE, f"M 84 {top - 3} H 138 V {low + 3} H 84 Z", paper=True)
    pen.path(FINE, f"M 134 {top - 3} V {low + 3}")
    pen.path(OUTLINE, f"M 84 {BOILER - 28} q -9 8 -9 28 t 9 28 M 75 {BOILER} h -6 m 0 -7 v 14")
    pen.path(OUTLINE, f"M 92 {top - 3} q 9 -3 10 -14 L 99 36 h 26 L 122 125 q 1 11 10 14", paper=True)
    pen.path(OUTLINE, "M 94 36 q 3 -9 7 -11 h 22 q 4 2 7 11 Z", paper=True)
    pen.path(OUTLINE, "M 296 92 H 372 V 262 H 296 Z", paper=True)
    pen.path(FINE, "M 296 236 H 372 M 303 98 V 256 M 365 98 V 256")
    pen.path(HIDDEN, f"M 108 {top} V {BOILER + 12} M 116 {top} V {BOILER + 12} M 112 {BOILER + 12} v 10")
    pen.place("smokebox", 111, BOILER, 30)
    pen.place("chimney", 112, 66, 16)
    pen.place("exhaust", 112, BOILER + 4, 13)
    pen.place("boiler", 240, BOILER, 27)


def _tender(pen: Pen) -> None:
    pen.path(OUTLINE, "M 372 246 H 492 V 168 h -34 v 12 H 438 V 246")
    pen.path(FINE, "M 460 168 q 14 -13 28 0 M 492 232 h 12 v 9 h -12")
    pen.path(OUTLINE, "M 372 136 h 8 q 2 30 26 32 H 438 V 246")
    pen.circle(FINE, 352, 152, 23)
    pen.circle(FINE, 352, 152, 5)
    pen.place("tender", 470, 208, 24)
    pen.place("cab", 410, 168, 20)


def _front_axle(pen: Pen) -> None:
    x, y, _ = FRONT
    pen.path(OUTLINE, f"M {x - 13} {BOILER + BARREL + 3} L {x - 6} {y - 8} h 12 L {x + 13} {BOILER + BARREL + 3}")
    pen.path(FINE, f"M {x + 8} {y + 2} L 300 250 M {x + 8} {y - 2} L 300 246")


def _road_wheel(pen: Pen, x: float, y: float, radius: float, spokes: int) -> None:
    """Draw a wheel with flat spokes and, on its tread, the ends of the strakes."""
    pen.circle(OUTLINE, x, y, radius, paper=True)
    pen.circle(FINE, x, y, radius - 5)
    hub = 0.2 * radius
    for spoke in range(spokes):
        angle = 2 * math.pi * spoke / spokes
        lean = angle + 0.12
        rim = radius - 5
        for start, end in ((angle, lean), (angle + 0.05, lean + 0.05)):
            pen.path(FINE, f"M {xy(polar(hub, start, x, y))} L {xy(polar(rim, end, x, y))}")
    pen.circle(OUTLINE, x, y, hub, paper=True)
    pen.circle(OUTLINE, x, y, 0.09 * radius)


def _brake(pen: Pen) -> None:
    x, y, radius = REAR
    pen.circle(FINE, x, y, 0.5 * radius)
    pen.path(OUTLINE, "M 447 168 V 140 m -8 0 h 16")
    pen.path(HIDDEN, f"M 447 168 V 214 L {x + 0.42 * radius} {y - 20}")
    pen.place("brake", 447, 150, 15)


def _controls(pen: Pen, configuration: Configuration, motion: Motion) -> None:
    """Draw regulator rod and lever, reversing lever and steering wheel, as the driver finds them."""
    x = CRANK[0] - motion.reach
    high = CRANK[1] - motion.bore - 2 * motion.chest
    pen.path(HIDDEN, f"M {x + 0.7 * motion.half} {high + 3} H 400")
    pen.path(OUTLINE, f"M 400 {high - 1} l 5 26 m -5 -22 V 150")
    pen.circle(OUTLINE, 400, high + 3, 2.5, paper=True)
    pen.place("regulator", x + 0.75 * motion.half, high + 4, 12)
    pen.place("steam_pipe", x, CRANK[1] + motion.bore + 8, 12)
    pen.path(
        OUTLINE,
        f"M {x - 12} {CRANK[1] + motion.bore} L {x - 18} {BOILER - BARREL} M {x + 12} {CRANK[1] + motion.bore} "
        f"L {x + 18} {BOILER - BARREL}",
    )
    pen.path(OUTLINE, "M 376 152 L 420 126 M 411 112 L 428 140 M 413.5 110.5 L 430.5 138.5")
    if configuration.reverser == "none":
        return
    pen.path(OUTLINE, "M 383 149 L 378 108 m 3 5 l 2 10")
    pen.path(FINE, "M 372 140 q 9 -6 18 0")
    shaft = None if oscillates(configuration) else weighshaft(motion, configuration.valve_gear)
    if shaft:
        pen.path(HIDDEN, f"M 381 140 L {CRANK[0] + shaft[0]} {CRANK[1] + shaft[1]}")
    pen.place("reverser", 379, 124, 16)


def _feed_pump(pen: Pen) -> None:
    pen.path(OUTLINE, f"M 262 146 h 12 v 26 h -12 Z M 268 146 L {CRANK[0] - 4} {CRANK[1] + 8}", paper=True)
    pen.path(OUTLINE, "M 274 166 h 9 m 0 -4 v 8")
    pen.place("feed_pump", 268, 160, 16)


# Firebox and fittings as the manstand has them: gauges on the backhead, safety valve on the cylinder, tank under foot.
_ON_THE_BOILER = {
    "ashpan": Anchor(334, 254, 13),
    "blow_down": Anchor(300, 240, 11),
    "blower": Anchor(122, BOILER - 14, 10),
    "burner": Anchor(334, 238, 13),
    "clack": Anchor(282, BOILER - 10, 10),
    "firebox": Anchor(334, 178, 26),
    "fusible_plug": Anchor(334, 150, 10),
    "gas_tank": Anchor(470, 196, 14),
    "grate": Anchor(334, 236, 13),
    "hand_pump": Anchor(452, 196, 12),
    "hose": Anchor(392, 238, 11),
    "injector": Anchor(384, 222, 11),
    "pressure_gauge": Anchor(372, 116, 11),
    "safety_valve": Anchor(CRANK[0] - 150, 78, 12),
    "spring": Anchor(REAR[0], REAR[1] - 26, 11),
    "tank": Anchor(470, 226, 16),
    "track": Anchor(190, GROUND + 4, 11),
    "tubes": Anchor(214, BOILER + 12, 20),
    "turret": Anchor(362, 98, 10),
    "water_gauge": Anchor(374, 166, 12),
    "whistle": Anchor(350, 86, 10),
}
_PARTS = (
    ("smokebox", "Smokebox, chimney and exhaust", "smokebox"),
    ("boiler", "Boiler", "boiler"),
    ("cylinders", "Cylinder, covers and gland", "cylinder"),
    ("steam_chest", "Steam chest and valve", "steam_chest"),
    ("lubricator", "Lubricator and oil pipes", "lubricator"),
    ("drain_cocks", "Drain cocks", "drain_cocks"),
    ("valve_gear", "Valve gear", "eccentric"),
    ("reverser", "Reverser", "reverser"),
    ("feed_pump", "Feed pump", "feed_pump"),
    ("connecting_rods", "Connecting rod, crosshead and slide bars", "crosshead"),
    ("regulator", "Regulator and steam pipe", "regulator"),
    ("crankshaft", "Crankshaft and flywheel", "crankshaft"),
    ("brake", "Brake", "brake"),
    ("tender", "Tender", "tender"),
    ("truck", "Front wheels and steering", "truck"),
    ("wheels", "Rear wheels and axle", "wheels"),
    ("firebox", "Firebox and fire", "firebox"),
    ("boiler_fittings", "Gauges, valves and whistle", "water_gauge"),
    ("feeds", "Water tank, injector and hand pump", "tank"),
)
