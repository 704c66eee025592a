"""A tank or tender locomotive, assembled from the outside in: boiler, cab, frames, wheels, motion."""

from __future__ import annotations

from restorations.knowledge.configuration import Configuration
from restorations.web.outline import fittings
from restorations.web.outline.bodywork import draw_body
from restorations.web.outline.boiler_parts import draw_boiler_parts
from restorations.web.outline.gears import draw_gear, weighshaft
from restorations.web.outline.layout import Layout, lay_out, oscillates
from restorations.web.outline.motion import Motion, draw_cylinder, draw_rods
from restorations.web.outline.oscillating import draw_oscillating
from restorations.web.outline.running_gear import (
    draw_brakes,
    draw_coupled_wheels,
    draw_coupling_rods,
    draw_rails,
    draw_truck,
)
from restorations.web.outline.sheet import GROUND, HEIGHT, TAP, WIDTH, Sheet
from restorations.web.outline.svg import FINE, HIDDEN


def draw_locomotive(configuration: Configuration) -> Sheet:
    """Draw the locomotive and make its parts tappable."""
    sheet, layout = Sheet(), lay_out(configuration)
    motions = _motions(configuration, layout)
    main = motions[0]
    draw_body(sheet, configuration, layout)
    draw_boiler_parts(sheet, configuration, layout)
    with sheet.pen() as pen:
        for axles, name in ((layout.leading, "leading"), (layout.trailing, "trailing")):
            if axles:
                draw_truck(pen, layout, axles, name)
        if configuration.brake != "none":
            draw_brakes(pen, layout)
        draw_coupled_wheels(pen, layout, main.throw)
    _draw_motions(sheet, configuration, layout, motions)
    fittings.draw_fittings(sheet, configuration, layout, main)
    with sheet.pen() as pen:
        draw_rails(pen, 8, WIDTH - 8)
    _make_tappable(sheet, configuration, layout, main)
    return sheet


def _motions(configuration: Configuration, layout: Layout) -> list[Motion]:
    """Return the motion the near side shows, then what is hidden between the frames."""
    where = {"two_inside": [True], "one": [True], "three": [False, True]}.get(configuration.cylinder_layout, [False])
    return [layout.motion(inside=inside, piston_valve=configuration.valve == "piston") for inside in where]


def _draw_motions(sheet: Sheet, configuration: Configuration, layout: Layout, motions: list[Motion]) -> None:
    x, y = layout.coupled[layout.driving], layout.axle
    with sheet.pen() as pen:
        draw_coupling_rods(pen, layout, motions[0])
    for motion in reversed(motions):
        where = "middle" if motion.inside and len(motions) > 1 else ""
        if oscillates(configuration):
            draw_oscillating(sheet, x, y, motion, where=where)
            continue
        with sheet.pen(x, y, where=where) as pen:
            draw_cylinder(pen, motion)
            draw_rods(pen, motion)
            draw_gear(pen, motion, configuration.valve_gear)
    _draw_reach_rod(sheet, configuration, layout, motions[0])


def _draw_reach_rod(sheet: Sheet, configuration: Configuration, layout: Layout, motion: Motion) -> None:
    """Draw the reverser in the cab and its rod to the weighshaft."""
    if configuration.reverser == "none":
        return
    floor, x = layout.board, layout.cab[0] + 0.34 * (layout.cab[1] - layout.cab[0])
    grip = floor - 2.6 * layout.scale
    shaft = None if oscillates(configuration) else weighshaft(motion, configuration.valve_gear)
    with sheet.pen() as pen:
        if configuration.reverser == "screw":
            pen.path(FINE, f"M {x} {floor} V {grip + 6} M {x - 5} {grip + 6} H {x + 9} M {x + 9} {grip} v 12")
        else:
            pen.path(FINE, f"M {x - 7} {floor - 6} q 7 -6 14 0 M {x} {floor} L {x - 5} {grip} m 3 3 l 2 8")
        if shaft:
            top = layout.axle + shaft[1]
            pen.path(HIDDEN, f"M {x} {floor - 8} L {layout.coupled[layout.driving] + shaft[0]} {top - 8} v 8")
        pen.place("reverser", x - 2, grip + 8, 13)


def _make_tappable(sheet: Sheet, configuration: Configuration, layout: Layout, motion: Motion) -> None:
    """Name the parts a thumb may aim at and where it would."""
    sheet.top = max(0.0, min(layout.chimney_top - 38, HEIGHT - 4 * TAP))
    for region, name, at in _PARTS:
        sheet.tap(region, name, at)
    barrel = 0.8 * layout.smokebox[1] + 0.2 * layout.cab[0]
    sheet.tap_point("boiler", "Boiler", barrel, layout.boiler)
    wheels, low = layout.coupled, GROUND - 8
    sheet.tap_point("wheels", "Wheels, axles and axleboxes", (wheels[0] + wheels[-1]) / 2, low)
    sheet.tap_point("cylinders", "Cylinder, covers and gland", layout.cylinder, layout.axle + 4)
    if len(wheels) > 1:
        sheet.tap_point("coupling_rods", "Coupling rods and crankpins", *_clear_of_gear(layout, motion))
    for axles, name in ((layout.leading, "Leading truck"), (layout.trailing, "Trailing truck")):
        if axles:
            sheet.tap_point("truck", name, sum(axles) / len(axles), low)
    if configuration.drain_cocks != "none":
        sheet.tap_point("drain_cocks", "Drain cocks", layout.cylinder, low)


def _clear_of_gear(layout: Layout, motion: Motion) -> tuple[float, float]:
    """Return a point of the coupling rod where neither connecting rod nor valve gear lies over it."""
    pins = layout.coupled
    y = layout.axle + motion.pin[1]
    if layout.driving < len(pins) - 1:
        return (pins[layout.driving] + pins[layout.driving + 1]) / 2, y
    return pins[-1], y


_PARTS = (
    ("smokebox", "Smokebox, chimney and exhaust", "chimney"),
    ("regulator", "Regulator and steam pipe", "regulator"),
    ("reverser", "Reverser", "reverser"),
    ("lubricator", "Lubricator and oil pipes", "lubricator"),
    ("steam_chest", "Steam chest and valve", "steam_chest"),
    ("valve_gear", "Valve gear", "eccentric"),
    ("connecting_rods", "Connecting rod, crosshead and slide bars", "crosshead"),
    ("feed_pump", "Feed pump", "feed_pump"),
    ("brake", "Brake", "brake"),
    ("tender", "Tender", "tender"),
    ("firebox", "Firebox and fire", "firebox"),
    ("boiler_fittings", "Gauges, valves and whistle", "water_gauge"),
    ("feeds", "Water tank, injector and hand pump", "tank"),
)
