"""Small parts hung on the finished locomotive: lubricator, oil pipe, drain cocks, feed pump."""

from __future__ import annotations

from restorations.knowledge.configuration import Configuration
from restorations.web.outline.layout import Layout
from restorations.web.outline.motion import Motion
from restorations.web.outline.sheet import Pen, Sheet
from restorations.web.outline.svg import FINE, HIDDEN, OUTLINE


def draw_fittings(sheet: Sheet, configuration: Configuration, layout: Layout, motion: Motion) -> None:
    """Draw the fittings the configuration has; what is not known is drawn as fitted."""
    with sheet.pen() as pen:
        if configuration.lubricator != "none":
            _lubricator(pen, layout, motion)
        if configuration.drain_cocks != "none":
            draw_drain_cocks(pen, layout.cylinder, layout.axle, motion)
        if configuration.feed_pump != "none":
            _feed_pump(pen, configuration, layout, motion)


def lubricator_x(layout: Layout) -> float:
    """Return where the lubricator stands: on the running board before the smokebox."""
    return layout.beam + 0.6 * layout.scale


def pump_x(configuration: Configuration, layout: Layout, motion: Motion) -> float:
    """Return where the feed pump lies: under the slide bars, or before the axle that drives it."""
    driving = layout.coupled[layout.driving]
    if configuration.feed_pump == "crosshead":
        return driving - motion.rod
    return layout.coupled[-1] - 1.6 * layout.scale if len(layout.coupled) > 1 else driving + 1.6 * layout.scale


def _lubricator(pen: Pen, layout: Layout, motion: Motion) -> None:
    x, y = lubricator_x(layout), layout.board - 1.2
    w = max(0.5 * layout.scale, 7)
    pen.path(
        OUTLINE,
        f"M {x - w} {y} v {-1.5 * w} h {2 * w} v {1.5 * w} M {x - 0.7 * w} {y - 1.5 * w} "
        f"q 0 {-0.3 * w} {0.3 * w} {-0.3 * w} h {0.8 * w} q {0.3 * w} 0 {0.3 * w} {0.3 * w}",
    )
    pen.circle(OUTLINE, x, y - 0.7 * w, 0.38 * w)
    pen.path(OUTLINE, f"M {x} {y - 0.7 * w} l {-0.55 * w} {1.5 * w}")
    end_x, end_y = layout.cylinder - 0.3 * motion.half, layout.axle + motion.valve_line - motion.chest
    pen.path(FINE, f"M {x + w} {y - 0.4 * w} q {0.8 * w} 0 {0.8 * w} {w} L {end_x} {end_y}")
    pen.place("lubricator", x, y - 0.75 * w, 1.4 * w)
    pen.place("oil_pipe", (x + 1.8 * w + end_x) / 2, (y + 0.6 * w + end_y) / 2, 9)


def draw_drain_cocks(pen: Pen, x: float, y: float, motion: Motion) -> None:
    """Draw a cock under each end of the cylinder, with the bar that works them."""
    low = y + motion.bore
    for end, way in (("front", -1), ("back", 1)):
        cock = x + way * 0.72 * motion.half
        pen.path(motion.line, f"M {cock} {low} v 6 m -3 0 h 6 m -3 0 v 3 l -6 3")
        pen.circle(motion.line, cock, low + 4.5, 2)
        pen.place(f"drain_cocks.{end}", cock, low + 6, 10)
    pen.path(FINE, f"M {x - 0.72 * motion.half} {low + 4.5} h {1.44 * motion.half}")
    pen.place("drain_cocks", x - 0.72 * motion.half, low + 6, 10)


def _feed_pump(pen: Pen, configuration: Configuration, layout: Layout, motion: Motion) -> None:
    x, s = pump_x(configuration, layout, motion), layout.scale
    crosshead = configuration.feed_pump == "crosshead"
    y = layout.axle + (1.45 * motion.bore if crosshead else -0.55 * layout.wheel)
    line = OUTLINE if crosshead and not motion.inside else HIDDEN
    pen.path(
        line,
        f"M {x - 1.1 * s} {y - 0.3 * s} h {1.3 * s} v {0.6 * s} h {-1.3 * s} Z M {x + 0.2 * s} {y} h {1.0 * s}",
    )
    pen.path(
        line,
        f"M {x - 0.8 * s} {y - 0.3 * s} v {-0.45 * s} m {-0.25 * s} 0 h {0.5 * s} M {x - 0.8 * s} {y + 0.3 * s} "
        f"v {0.45 * s} m {-0.25 * s} 0 h {0.5 * s}",
    )
    pen.place("feed_pump", x - 0.4 * s, y, 0.95 * s)
