"""What belongs to a locomotive's boiler: firebox and tubes as hidden detail, the fittings, and the way of the water."""

from __future__ import annotations

from restorations.knowledge.configuration import Configuration
from restorations.web.outline.layout import Layout
from restorations.web.outline.sheet import GROUND, Anchor, Pen, Sheet
from restorations.web.outline.svg import FINE, HIDDEN, OUTLINE


def draw_boiler_parts(sheet: Sheet, configuration: Configuration, layout: Layout) -> None:
    """Draw the fire's place and the fittings of a locomotive's boiler; the wheels will stand in front of them."""
    with sheet.pen() as pen:
        _firebox(pen, layout)
        _fire(pen, configuration, layout)
        _blower(pen, layout)
        _backhead(pen, layout)
        _above_the_firebox(pen, layout)
        _water(pen, configuration, layout)
        pen.place("spring", layout.coupled[0], layout.axle - 0.5 * layout.wheel, 11)
        pen.place("track", (layout.coupled[0] + layout.beam) / 2, GROUND + 4, 11)


def place_parts(pen: Pen, configuration: Configuration, places: dict[str, Anchor]) -> None:
    """Note where parts lie, less those that an engine of this build has not."""
    absent = not_fitted(configuration)
    for at, (x, y, radius) in places.items():
        if at not in absent:
            pen.place(at, x, y, radius)


def not_fitted(configuration: Configuration) -> frozenset[str]:
    """Return the places of fire and feed that this build rules out."""
    absent = {"coal": {"burner", "gas_tank"}, "spirit": {"grate", "ashpan", "gas_tank"}, "gas": {"grate", "ashpan"}}
    ruled_out = set(absent.get(configuration.fuel, ()))
    for field in ("injector", "hand_pump"):
        if getattr(configuration, field) == "none":
            ruled_out.add(field)
    return frozenset(ruled_out)


def _firebox(pen: Pen, layout: Layout) -> None:
    s, y, r, cab = layout.scale, layout.boiler, layout.barrel, layout.cab[0]
    front, back, crown, foot = cab - 1.9 * s, cab + 0.2 * s, y - 0.3 * r, layout.board + 0.5 * s
    pen.path(HIDDEN, f"M {front} {foot} V {crown + 0.3 * s} q 0 {-0.3 * s} {0.3 * s} {-0.3 * s} H {back} V {foot} Z")
    for part in (0.0, 0.3, 0.6):
        pen.path(HIDDEN, f"M {layout.smokebox[1]} {y + part * r} H {front}")
    pen.place("firebox", (front + back) / 2, (crown + foot) / 2, 1.2 * s)
    pen.place("tubes", layout.smokebox[1] + 0.3 * (front - layout.smokebox[1]), y + 0.3 * r, 0.45 * r)
    pen.place("fusible_plug", (front + back) / 2, crown, 9)
    pen.place("blow_down", front, foot - 0.4 * s, 10)


def _fire(pen: Pen, configuration: Configuration, layout: Layout) -> None:
    """Draw grate and ashpan, or the burner of an engine known to be fired with gas or spirit."""
    s, cab, bars = layout.scale, layout.cab[0], layout.board + 0.5 * layout.scale
    middle = cab - 0.85 * s
    if configuration.fuel in ("gas", "spirit"):
        pen.path(HIDDEN, f"M {middle - 0.9 * s} {bars} h {1.8 * s} m 0 {-0.3 * s} h {-1.8 * s} v {0.3 * s}")
    else:
        pen.path(HIDDEN, f"M {middle - 1.05 * s} {bars} l {0.3 * s} {1.1 * s} h {1.5 * s} l {0.3 * s} {-1.1 * s}")
    places = {
        "grate": Anchor(middle, bars, 11),
        "ashpan": Anchor(middle, bars + 0.8 * s, 11),
        "burner": Anchor(middle, bars - 0.1 * s, 12),
        "gas_tank": Anchor(layout.cab[1] - 0.9 * s, layout.board - 0.9 * s, 12),
    }
    place_parts(pen, configuration, places)


def _blower(pen: Pen, layout: Layout) -> None:
    """Draw, hidden, the blower's pipe from the cab to its jet beside the blast pipe."""
    s, y, r = layout.scale, layout.boiler, layout.barrel
    jet = sum(layout.smokebox) / 2 + 0.7 * s
    pen.path(HIDDEN, f"M {layout.cab[0] + 0.3 * s} {y - 0.5 * r} H {jet} v {0.5 * s}")
    pen.place("blower", jet, y - 0.35 * r, 10)
    pen.place("ejector", layout.smokebox[1] + 0.5 * s, y - 0.5 * r, 10)


def _backhead(pen: Pen, layout: Layout) -> None:
    s, y, r, cab = layout.scale, layout.boiler, layout.barrel, layout.cab[0]
    pen.path(FINE, f"M {cab + 0.45 * s} {y - 0.35 * r} v {0.75 * r} m {0.25 * s} 0 v {-0.75 * r} h {-0.25 * s}")
    pen.circle(FINE, cab + 0.4 * s, y - 1.2 * s, 0.28 * s)
    pen.path(FINE, f"M {cab + 0.1 * s} {y - 0.95 * r} h {0.5 * s} v {0.25 * s} h {-0.5 * s} Z")
    pen.place("water_gauge", cab + 0.58 * s, y, 11)
    pen.place("pressure_gauge", cab + 0.4 * s, y - 1.2 * s, 9)
    pen.place("turret", cab + 0.35 * s, y - 0.95 * r, 10)


def _above_the_firebox(pen: Pen, layout: Layout) -> None:
    """Place the safety valves, which the body shows, and draw the whistle above the cab's roof."""
    s, cab, top = layout.scale, layout.cab[0], layout.boiler - layout.barrel
    x, roof = cab + 1.6 * s, top - 2.05 * s
    pen.path(OUTLINE, f"M {x} {roof} v {-0.25 * s} m {-0.14 * s} 0 h {0.28 * s} v {-0.5 * s} h {-0.28 * s} Z")
    pen.place("whistle", x, roof - 0.35 * s, 9)
    pen.place("safety_valve", cab - 0.9 * s, top - 0.8 * s, 10)


def _water(pen: Pen, configuration: Configuration, layout: Layout) -> None:
    """Draw clack and injector and place tank, hand pump and hose."""
    s, (front, back) = layout.scale, layout.cab
    clack = layout.smokebox[1] + 0.2 * (front - layout.smokebox[1]), layout.boiler - 0.55 * layout.barrel
    pen.circle(OUTLINE, *clack, 0.22 * s)
    below = front + 0.6 * (back - front), layout.board + 0.9 * s
    if configuration.injector != "none":
        pen.path(FINE, f"M {below[0] - 0.5 * s} {below[1]} h {s} m {-0.7 * s} {-0.2 * s} v {0.4 * s} h {0.4 * s} Z")
    place_parts(pen, configuration, {"clack": Anchor(*clack, 9), "injector": Anchor(*below, 10), **_tank(layout)})


def _tank(layout: Layout) -> dict[str, Anchor]:
    s, board = layout.scale, layout.board
    if layout.tender:
        x = layout.rear + 2.6 * s
        places = {"tank": Anchor(x + s, board - 1.6 * s, 1.1 * s), "hand_pump": Anchor(x, board - 2.6 * s, 11)}
        return {**places, "hose": Anchor(layout.rear + 0.4 * s, board + 1.2 * s, 11)}
    x = (layout.smokebox[1] + layout.cab[0]) / 2
    places = {"tank": Anchor(x, board - 1.1 * s, 1.0 * s), "hand_pump": Anchor(x - 0.9 * s, board - 1.9 * s, 11)}
    return {**places, "hose": Anchor(layout.cab[0] + 0.4 * s, board + 0.6 * s, 10)}
