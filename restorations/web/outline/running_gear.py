"""Wheels, coupling rods, brakes, trucks and rails."""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterable

from restorations.web.outline.layout import Layout
from restorations.web.outline.motion import CRANK_ANGLE, Motion
from restorations.web.outline.sheet import GROUND, Pen
from restorations.web.outline.svg import FINE, OUTLINE, polar, xy


def draw_wheel(pen: Pen, x: float, y: float, radius: float, spokes: int) -> None:
    """Draw a spoked wheel with its tyre."""
    pen.circle(OUTLINE, x, y, radius, paper=True)
    rim, hub = radius * 0.87, radius * 0.17
    pen.circle(FINE, x, y, rim)
    for spoke in range(spokes):
        angle = CRANK_ANGLE + 2 * math.pi * (spoke + 0.5) / spokes
        pen.path(FINE, f"M {xy(polar(hub, angle, x, y))} L {xy(polar(rim, angle, x, y))}")
    pen.circle(OUTLINE, x, y, hub, paper=True)
    pen.circle(FINE, x, y, hub * 0.45)


def draw_coupled_wheel(pen: Pen, x: float, y: float, radius: float, throw: float) -> None:
    """Draw a coupled wheel: crank boss towards the pin, balance weight opposite."""
    draw_wheel(pen, x, y, radius, 12 if radius > 36 else 10)
    rim = radius * 0.87
    start, end = CRANK_ANGLE + math.radians(140), CRANK_ANGLE + math.radians(220)
    pen.path(
        FINE,
        f"M {xy(polar(rim, start, x, y))} Q {xy(polar(0.42 * rim, CRANK_ANGLE + math.pi, x, y))} "
        f"{xy(polar(rim, end, x, y))}",
    )
    pen.circle(OUTLINE, *polar(throw, CRANK_ANGLE, x, y), radius * 0.16, paper=True)


def draw_coupled_wheels(pen: Pen, layout: Layout, throw: float) -> None:
    """Draw every coupled wheel and note where wheels, axleboxes and pins lie."""
    radius, y = layout.wheel, layout.axle
    for number, x in enumerate(layout.coupled, start=1):
        draw_coupled_wheel(pen, x, y, radius, throw)
        pen.place(f"wheels.axle{number}", x, y, radius + 4)
        pen.place(f"axlebox.axle{number}", x, y, 0.34 * radius)
        pen.place(f"crankpin.axle{number}", *polar(throw, CRANK_ANGLE, x, y), 11)
    driving = layout.coupled[layout.driving]
    pen.place("wheels", driving, y, radius + 4)
    pen.place("axlebox", driving, y, 0.34 * radius)


def draw_coupling_rods(pen: Pen, layout: Layout, motion: Motion) -> None:
    """Draw the coupling rod, fluted, with a boss on every pin."""
    dx, dy = motion.pin
    y = layout.axle + dy
    half, boss = 0.045 * layout.wheel + 0.9, 0.1 * layout.wheel + 1.4
    pins = [x + dx for x in layout.coupled]
    for left, right in itertools.pairwise(pins):
        pen.path(OUTLINE, f"M {left} {y - half} H {right} V {y + half} H {left} Z", paper=True)
    for number, x in enumerate(pins, start=1):
        pen.circle(OUTLINE, x, y, boss, paper=True)
        pen.circle(FINE, x, y, boss * 0.45)
        nearest = x + (0.3 * (pins[1] - pins[0]) * (1 if number == 1 else -1) if len(pins) > 1 else 0.0)
        pen.place(f"coupling_rod.axle{number}", nearest, y, 11)
    if len(pins) > 1:
        pen.place("coupling_rod", (pins[0] + pins[1]) / 2, y, 12)


def draw_brakes(pen: Pen, layout: Layout) -> None:
    """Draw hanger and block behind every coupled wheel, and the pull rod that joins them."""
    y, radius = layout.axle, layout.wheel
    low = y + 0.72 * radius
    for x in layout.coupled:
        edge = x + radius + 2.2
        pen.path(OUTLINE, f"M {edge + 2.4} {y - 0.75 * radius} L {edge + 3.2} {low}")
        pen.path(
            OUTLINE,
            f"M {edge - 0.6} {y - 0.3 * radius} q 2.6 {0.3 * radius} 0.0 {0.6 * radius} h 4.4 v {-0.6 * radius} Z",
            paper=True,
        )
    last = layout.coupled[-1] + radius + 2.2
    pen.path(FINE, f"M {layout.coupled[0] + radius + 5} {low} H {last + 8}")
    pen.place("brake", last + 2, y + 2, 0.4 * radius)


def draw_truck(pen: Pen, layout: Layout, axles: Iterable[float], name: str) -> None:
    """Draw the wheels of a truck and, over two, its frame."""
    xs, radius = tuple(axles), layout.truck_wheel
    y = GROUND - radius
    for x in xs:
        draw_wheel(pen, x, y, radius, 9)
    if len(xs) > 1:
        low = y - 0.35 * radius
        pen.path(OUTLINE, f"M {xs[0]} {low} H {xs[1]} M {xs[0]} {y} V {low} M {xs[1]} {y} V {low}")
    pen.place(f"truck.{name}", sum(xs) / len(xs), y, radius + 3)
    pen.place("truck", sum(xs) / len(xs), y, radius + 3)


def draw_rails(pen: Pen, left: float, right: float) -> None:
    """Draw the rail the wheels stand on."""
    pen.path(OUTLINE, f"M {left} {GROUND + 0.8} H {right}")
    pen.path(FINE, f"M {left} {GROUND + 4.2} H {right}")
