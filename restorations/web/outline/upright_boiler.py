"""The boiler beside a stationary or marine engine: an upright one, for where a fault of fire or water is ringed."""

from __future__ import annotations

from restorations.knowledge.configuration import Configuration
from restorations.web.outline.boiler_parts import place_parts
from restorations.web.outline.sheet import GROUND, Anchor, Pen, Sheet
from restorations.web.outline.svg import FINE, HIDDEN, OUTLINE

HALF = 21.0
CHIMNEY = 36.0
REGIONS = (
    ("boiler", "Boiler, tubes and chimney", "tubes"),
    ("firebox", "Firebox and fire", "firebox"),
    ("boiler_fittings", "Gauges, valves and whistle", "pressure_gauge"),
    ("feeds", "Water tank, injector and hand pump", "tank"),
)


def draw_upright_boiler(pen: Pen, configuration: Configuration, x: float, top: float, way: int) -> None:
    """Draw a boiler whose middle is at `x` and whose shell ends at `top`; its tank stands `way` of it (1: right)."""
    if configuration.boiler == "none":
        return
    foot = GROUND - 14
    crown = foot - 0.36 * (foot - top)
    _shell(pen, x, top, foot, crown)
    _fittings(pen, x, top, foot)
    place_parts(pen, configuration, _places(x, top, foot, crown, way))


def tap_boiler(sheet: Sheet) -> None:
    """Make the boiler's parts tappable where it was drawn."""
    for region, name, at in REGIONS:
        sheet.tap(region, name, at)


def _shell(pen: Pen, x: float, top: float, foot: float, crown: float) -> None:
    left, right, dome = x - HALF, x + HALF, 0.5 * HALF
    pen.path(OUTLINE, f"M {x - 6} {top + 2} V {top - CHIMNEY} h 12 V {top + 2} M {x - 9} {top - CHIMNEY} h 18")
    shoulders = f"q 0 {-dome} {HALF} {-dome} q {HALF} 0 {HALF} {dome}"
    pen.path(OUTLINE, f"M {left} {foot} V {top + dome} {shoulders} V {foot} Z", paper=True)
    pen.path(OUTLINE, f"M {left - 3} {foot} H {right + 3} V {GROUND} H {left - 3} Z", paper=True)
    pen.path(FINE, f"M {left} {top + 26} H {right} M {left} {top + 28.4} H {right}")
    pen.path(HIDDEN, f"M {left + 5} {foot} V {crown} H {right - 5} V {foot}")
    for tube in (-8, 0, 8):
        pen.path(HIDDEN, f"M {x + tube} {crown} V {top + dome}")
    pen.path(OUTLINE, f"M {x - 7} {foot - 6} v -14 q 0 -4 4 -4 h 6 q 4 0 4 4 v 14 Z")


def _fittings(pen: Pen, x: float, top: float, foot: float) -> None:
    glass = (top + foot) / 2 - 12
    pen.path(FINE, f"M {x + 10} {glass} v 34 m 4 0 v -34 h -4 m 0 34 h 4")
    pen.circle(FINE, x - 9, glass - 2, 7)
    pen.path(OUTLINE, f"M {x + 13} {top + 3} v -8 m 5 10 v -10 m -8 0 h 11")


def _places(x: float, top: float, foot: float, crown: float, way: int) -> dict[str, Anchor]:
    glass, beside = (top + foot) / 2 - 12, x + way * (HALF + 4)
    return {
        "ashpan": Anchor(x, foot + 4, 11),
        "blow_down": Anchor(x - HALF, foot - 8, 9),
        "blower": Anchor(x, top - 8, 9),
        "boiler": Anchor(x, (top + foot) / 2, HALF),
        "burner": Anchor(x, foot - 4, 12),
        "chimney": Anchor(x, top - CHIMNEY + 8, 10),
        "clack": Anchor(x - HALF, glass + 22, 9),
        "firebox": Anchor(x, (crown + foot) / 2, 16),
        "fusible_plug": Anchor(x, crown, 9),
        "gas_tank": Anchor(beside, foot - 16, 11),
        "grate": Anchor(x, foot - 4, 11),
        "hand_pump": Anchor(beside, foot - 44, 11),
        "hose": Anchor(beside, foot - 30, 10),
        "injector": Anchor(beside, foot - 62, 10),
        "pressure_gauge": Anchor(x - 9, glass - 2, 10),
        "safety_valve": Anchor(x + 15, top - 2, 10),
        "smokebox": Anchor(x, top + 6, 14),
        "tank": Anchor(beside, foot + 2, 12),
        "tubes": Anchor(x, crown - 26, 14),
        "turret": Anchor(x - 10, top + 6, 9),
        "water_gauge": Anchor(x + 12, glass + 17, 12),
        "whistle": Anchor(x - 16, top + 8, 9),
    }
