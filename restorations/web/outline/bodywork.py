"""What stands above and between the wheels: boiler, smokebox, tanks, cab, frames, tender."""

from __future__ import annotations

from restorations.knowledge.configuration import Configuration
from restorations.web.outline.layout import Layout
from restorations.web.outline.running_gear import draw_wheel
from restorations.web.outline.sheet import GROUND, WIDTH, Pen, Sheet
from restorations.web.outline.svg import BODY, FINE, HIDDEN, OUTLINE


def draw_body(sheet: Sheet, configuration: Configuration, layout: Layout) -> None:
    """Draw everything the wheels will stand in front of."""
    with sheet.pen() as pen:
        _frames(pen, layout)
        _boiler(pen, layout)
        _steam_way(pen, layout)
        _cab(pen, layout)
        if layout.tender:
            _tender(pen, layout)
        else:
            _tank(pen, layout)
        _running_board(pen, layout)
        if configuration.snifting_valve != "none":
            _snifting_valve(pen, layout)


def _frames(pen: Pen, layout: Layout) -> None:
    s, left, right = layout.scale, layout.beam, layout.rear
    top, low = layout.board, layout.axle + 0.25 * layout.wheel
    pen.path(
        OUTLINE,
        f"M {left} {top} V {top + 1.5 * s} L {left + 1.6 * s} {low} H {right - 1.2 * s} L {right} {top + 1.5 * s} "
        f"V {top}",
    )
    pen.place("frame", left + 0.9 * s, top + 1.2 * s, 12)


def _boiler(pen: Pen, layout: Layout) -> None:
    s, y, r = layout.scale, layout.boiler, layout.barrel
    front, back = layout.smokebox
    cab = layout.cab[0]
    pen.path(OUTLINE, f"M {back} {y - r} H {cab + 0.4 * s} V {y + r} H {back} Z", paper=True)
    for part in (0.36, 0.68):
        band = back + part * (cab - back)
        pen.path(FINE, f"M {band} {y - r} V {y + r} M {band + 2.4} {y - r} V {y + r}")
    big = r + 0.16 * s
    pen.path(
        OUTLINE,
        f"M {front} {y - big} H {back} V {y + big} L {back - 0.2 * s} {layout.board} H {front + 0.3 * s} "
        f"L {front} {y + big} Z",
        paper=True,
    )
    pen.path(FINE, f"M {back - 3} {y - big} V {y + big} M {front + 3} {y - big} V {y + big}")
    _smokebox_door(pen, front, y, r, s)
    _chimney(pen, layout, big)
    pen.place("smokebox", (front + back) / 2, y, 0.8 * r)
    pen.place("boiler", back + 0.52 * (cab - back), y - 0.2 * r, 0.75 * r)
    _dome(pen, layout)


def _smokebox_door(pen: Pen, x: float, y: float, r: float, s: float) -> None:
    pen.path(OUTLINE, f"M {x} {y - 0.82 * r} q {-0.5 * s} {0.2 * r} {-0.5 * s} {0.82 * r} t {0.5 * s} {0.82 * r}")
    pen.path(OUTLINE, f"M {x - 0.48 * s} {y} h {-0.35 * s} m 0 {-0.4 * s} v {0.8 * s}")
    pen.path(FINE, f"M {x} {y - 0.4 * r} h {-0.42 * s} M {x} {y + 0.4 * r} h {-0.42 * s}")


def _chimney(pen: Pen, layout: Layout, big: float) -> None:
    s, top = layout.scale, layout.chimney_top
    x, base = sum(layout.smokebox) / 2, layout.boiler - big
    pen.path(
        OUTLINE,
        f"M {x - 1.15 * s} {base + 1} q {0.5 * s} {-0.15 * s} {0.52 * s} {-0.7 * s} L {x - 0.75 * s} {top + 0.5 * s} "
        f"H {x + 0.75 * s} L {x + 0.63 * s} {base - 0.7 * s + 1} q {0.02 * s} {0.55 * s} {0.52 * s} {0.7 * s}",
        paper=True,
    )
    pen.path(
        OUTLINE,
        f"M {x - 0.98 * s} {top + 0.5 * s} q {0.1 * s} {-0.4 * s} {0.25 * s} {-0.5 * s} h {1.46 * s} "
        f"q {0.15 * s} {0.1 * s} {0.25 * s} {0.5 * s} Z",
        paper=True,
    )
    pen.place("chimney", x, top + 0.9 * s, 1.1 * s)


def _dome(pen: Pen, layout: Layout) -> None:
    s, y = layout.scale, layout.boiler - layout.barrel
    back, cab = layout.smokebox[1], layout.cab[0]
    x = back + 0.52 * (cab - back)
    pen.path(
        OUTLINE,
        f"M {x - 1.25 * s} {y} q {0.4 * s} {-0.1 * s} {0.42 * s} {-0.6 * s} v {-0.3 * s} "
        f"q {0.05 * s} {-0.85 * s} {0.83 * s} {-0.85 * s} t {0.83 * s} {0.85 * s} v {0.3 * s} "
        f"q {0.02 * s} {0.5 * s} {0.42 * s} {0.6 * s}",
        paper=True,
    )
    valve = cab - 0.9 * s
    pen.path(
        OUTLINE,
        f"M {valve - 0.5 * s} {y} v {-0.4 * s} h {s} v {0.4 * s} M {valve - 0.25 * s} {y - 0.4 * s} v {-0.7 * s} "
        f"M {valve + 0.25 * s} {y - 0.4 * s} v {-0.7 * s} M {valve - 0.45 * s} {y - 1.1 * s} h {0.9 * s}",
    )
    pen.place("regulator", x, y - 0.5 * s, 1.25 * s)


def _steam_way(pen: Pen, layout: Layout) -> None:
    """Draw, hidden, the way of the steam: dome, dry pipe, smokebox, and the blast pipe under the chimney."""
    s, y, r = layout.scale, layout.boiler, layout.barrel
    front, back = layout.smokebox
    dome, mid = back + 0.52 * (layout.cab[0] - back), (front + back) / 2
    high = y - 0.66 * r
    pen.path(
        HIDDEN,
        f"M {dome} {y - r - 0.6 * s} V {high} H {back - 0.5 * s} q {-0.6 * s} 0 {-0.6 * s} {0.8 * s} V {layout.board}",
    )
    pen.path(HIDDEN, f"M {dome} {high} H {layout.cab[0] + 0.4 * s}")
    pen.path(
        HIDDEN,
        f"M {mid - 0.3 * s} {layout.board} V {y + 0.1 * r} l {0.1 * s} {-0.5 * s} h {0.4 * s} l {0.1 * s} {0.5 * s} "
        f"V {layout.board}",
    )
    pen.place("steam_pipe", back - 1.0 * s, y + 0.25 * r, 11)
    pen.place("exhaust", mid, y + 0.2 * r, 12)


def _cab(pen: Pen, layout: Layout) -> None:
    s, board, (front, back) = layout.scale, layout.board, layout.cab
    roof = layout.boiler - layout.barrel - 1.55 * s
    pen.path(OUTLINE, f"M {front} {board} V {roof} H {back} V {board} Z", paper=True)
    pen.path(
        OUTLINE,
        f"M {front - 0.35 * s} {roof} q {0.2 * s} {-0.5 * s} {s} {-0.5 * s} H {back - 0.5 * s} "
        f"q {0.8 * s} 0 {s} {0.5 * s} Z",
        paper=True,
    )
    waist = board - 3.0 * s
    pen.path(
        OUTLINE,
        f"M {back} {waist} h {-0.9 * s} q {-0.4 * s} 0 {-0.4 * s} {-0.5 * s} v {-1.4 * s} "
        f"q 0 {-0.5 * s} {0.4 * s} {-0.5 * s} h {0.9 * s}",
    )
    pen.path(OUTLINE, f"M {front + 0.7 * s} {waist} v {-1.9 * s} h {1.7 * s} v {1.9 * s} Z")
    pen.path(FINE, f"M {back - 0.35 * s} {waist} V {board} M {front} {board - 0.35 * s} H {back}")
    pen.place("cab", (front + back) / 2, board - 2.6 * s, 1.6 * s)


def _tank(pen: Pen, layout: Layout) -> None:
    """Draw side tank in front of the cab and bunker behind it."""
    s, board, (front, back) = layout.scale, layout.board, layout.cab
    start, top = layout.smokebox[1] + 0.35 * s, layout.boiler - 0.35 * layout.barrel
    pen.path(
        OUTLINE,
        f"M {start} {board} V {top + 0.4 * s} q 0 {-0.4 * s} {0.4 * s} {-0.4 * s} H {front} V {board} Z",
        paper=True,
    )
    pen.path(FINE, f"M {start + 0.35 * s} {board - 0.35 * s} V {top + 0.35 * s} H {front}")
    pen.path(OUTLINE, f"M {start + 0.9 * s} {top} v {-0.3 * s} h {1.1 * s} v {0.3 * s}")
    high = board - 3.0 * s
    pen.path(
        OUTLINE,
        f"M {back} {high} H {layout.rear - 0.1 * s} q {0.5 * s} {-0.5 * s} {0.4 * s} {-0.9 * s} "
        f"M {layout.rear - 0.1 * s} {high} V {board}",
        paper=True,
    )
    pen.path(FINE, f"M {back + 0.3 * s} {high} q {0.9 * s} {-1.1 * s} {1.9 * s} 0")


def _tender(pen: Pen, layout: Layout) -> None:
    """Draw the tender's front half, ended by a break line as on a drawing."""
    s, board = layout.scale, layout.board
    left, right = layout.rear + 0.8 * s, WIDTH - 18
    top = board - 3.4 * s
    third = (GROUND - top) / 3
    wave = f"q 5 {0.6 * third} 0 {third} q -5 {0.6 * third} 0 {third} q 5 {0.6 * third} 0 {0.8 * third}"
    pen.path(OUTLINE, f"M {layout.rear} {board + 0.6 * s} H {left}")
    pen.path(BODY, f"M {left} {board + 1.4 * s} V {top - 0.7 * s} H {right} V {board + 1.4 * s} Z", paper=True)
    pen.path(OUTLINE, f"M {left} {board} V {top} q {0.1 * s} {-0.6 * s} {0.6 * s} {-0.7 * s} M {left} {top} H {right}")
    pen.path(OUTLINE, f"M {left - 0.3 * s} {board} H {right} M {left - 0.3 * s} {board} v {1.4 * s} H {right}")
    pen.path(FINE, f"M {left + 0.8 * s} {top} q {2 * s} {-1.6 * s} {right - left - 0.8 * s} {-1.1 * s}")
    pen.path(FINE, f"M {right} {top - 8} {wave}")
    radius = 1.9 * s
    for x in (left + 2.6 * s, left + 2.6 * s + 5.4 * s):
        if x + radius < right:
            draw_wheel(pen, x, GROUND - radius, radius, 9)
            pen.path(OUTLINE, f"M {x - 0.9 * s} {board + 1.4 * s} l {0.4 * s} {1.6 * s} h {s} l {0.4 * s} {-1.6 * s}")
    pen.place("tender", (left + right) / 2, (board + top) / 2, 1.6 * s)


def _running_board(pen: Pen, layout: Layout) -> None:
    s, board = layout.scale, layout.board
    left, right = layout.beam, layout.rear
    pen.path(OUTLINE, f"M {left} {board - 1.2} H {right} v 2.4 H {left} Z", paper=True)
    for x, way in ((left, -1), (right, 1)):
        if way > 0 and layout.tender:
            continue
        pen.path(OUTLINE, f"M {x} {board + 0.1 * s} v {1.5 * s} h {0.35 * s * -way} V {board}")
        pen.path(
            OUTLINE,
            f"M {x} {board + 0.45 * s} h {way * 0.8 * s} v {0.6 * s} h {way * -0.8 * s} m {way * 0.8 * s} {-0.75 * s} "
            f"v {0.9 * s}",
        )
    for x in layout.coupled:
        _splasher(pen, x, layout)
    step = layout.cab[0] + 0.5 * (layout.cab[1] - layout.cab[0])
    pen.path(FINE, f"M {step - 0.7 * s} {board} V {board + 2.6 * s} h {1.4 * s} V {board}")


def _splasher(pen: Pen, x: float, layout: Layout) -> None:
    radius = layout.wheel + 0.2 * layout.scale
    rise = layout.board - layout.axle
    if radius <= -rise:
        return
    half = (radius**2 - rise**2) ** 0.5
    pen.path(
        OUTLINE,
        f"M {x - half} {layout.board - 1} A {radius} {radius} 0 0 1 {x + half} {layout.board - 1}",
        paper=True,
    )


def _snifting_valve(pen: Pen, layout: Layout) -> None:
    s = layout.scale
    x, y = layout.smokebox[1] - 0.55 * s, layout.boiler - layout.barrel - 0.16 * s
    pen.path(
        OUTLINE,
        f"M {x - 0.25 * s} {y} v {-0.5 * s} h {0.5 * s} v {0.5 * s} M {x - 0.45 * s} {y - 0.5 * s} "
        f"q {0.45 * s} {-0.6 * s} {0.9 * s} 0 Z",
    )
    pen.place("snifting_valve", x, y - 0.4 * s, 9)
