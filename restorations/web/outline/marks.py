"""Numbered rings on the drawing: balloons stand in a row above or below it, each on its own leader line."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass
from xml.sax.saxutils import escape

from restorations.web.outline.sheet import HEIGHT, WIDTH, Anchor
from restorations.web.outline.svg import number

BALLOON = 13.0
GAP = 2 * BALLOON + 5
BOTTOM_ROW = HEIGHT - BALLOON - 2


@dataclass(frozen=True, slots=True)
class Mark:
    """A numbered suspicion: part `at`, in `place` ("left.front", "axle2"), and the words read out for it."""

    number: int
    at: str
    place: str = ""
    words: str = ""


@dataclass(frozen=True, slots=True)
class Ringed:
    """A mark that has found its place on the sheet; `behind` when it lies on a side the view does not show."""

    mark: Mark
    anchor: Anchor
    behind: bool


def draw_marks(ringed: Iterable[Ringed], top: float) -> str:
    """Draw rings, leaders and balloons; rings on one spot are drawn one outside the other."""
    spread = _spread_rings(list(ringed))
    top_row = top + BALLOON + 2
    upper = [one for one in spread if one.anchor.y < (top + HEIGHT) * 0.52]
    lower = [one for one in spread if one not in upper]
    _even_out(upper, lower)
    drawn = []
    for y, row in ((top_row, upper), (BOTTOM_ROW, lower)):
        row.sort(key=lambda one: (one.anchor.x, one.mark.number))
        for one, x in zip(
            row, spaced([one.anchor.x for one in row], GAP, BALLOON + 2, WIDTH - BALLOON - 2), strict=True
        ):
            drawn.append(_balloon(one, x, y))
    return "".join(drawn)


def spaced(wanted: list[float], gap: float, low: float, high: float) -> list[float]:
    """Move sorted positions as little as need be until they stand `gap` apart between `low` and `high`."""
    if len(wanted) > 1:
        gap = min(gap, (high - low) / (len(wanted) - 1))
    placed: list[float] = []
    for value in wanted:
        placed.append(max(value, placed[-1] + gap if placed else low))
    limit = high
    for place in range(len(placed) - 1, -1, -1):
        placed[place] = max(min(placed[place], limit), low + gap * place)
        limit = placed[place] - gap
    return placed


def _even_out(upper: list[Ringed], lower: list[Ringed]) -> None:
    """Move what a full row cannot hold to the other, beginning with what lies nearest to it."""
    most = int((WIDTH - 2 * BALLOON) // GAP)
    for full, other, sign in ((upper, lower, -1), (lower, upper, 1)):
        full.sort(key=lambda one: sign * one.anchor.y)
        while len(full) > most > len(other):
            other.append(full.pop(0))


def _spread_rings(ringed: list[Ringed]) -> list[Ringed]:
    seen: dict[tuple[int, int], int] = {}
    spread = []
    for one in ringed:
        x, y, radius = one.anchor
        spot = (round(x / 3), round(y / 3))
        radius += 4.5 * seen.get(spot, 0)
        seen[spot] = seen.get(spot, 0) + 1
        spread.append(Ringed(one.mark, Anchor(x, y, radius), one.behind))
    return spread


def _balloon(one: Ringed, x: float, y: float) -> str:
    anchor = one.anchor
    distance = math.hypot(x - anchor.x, y - anchor.y) or 1.0
    dx, dy = (x - anchor.x) / distance, (y - anchor.y) / distance
    leader = ""
    if distance > anchor.radius + BALLOON:
        start = f"{number(anchor.x + dx * anchor.radius)} {number(anchor.y + dy * anchor.radius)}"
        leader = f'<path d="M {start} L {number(x - dx * BALLOON)} {number(y - dy * BALLOON)}" stroke-width="1"/>'
    hoop = f'cx="{number(anchor.x)}" cy="{number(anchor.y)}" r="{number(anchor.radius)}" stroke-width="2.2"'
    ball = f'cx="{number(x)}" cy="{number(y)}" r="{number(BALLOON)}" stroke-width="1.6"'
    dash = ' stroke-dasharray="5 3.5"' if one.behind else ""
    title = f"<title>{escape(one.mark.words)}</title>" if one.mark.words else ""
    return (
        f'<g class="outline-ring" stroke="currentColor" fill="none">{title}'
        f"<circle {hoop}{dash}/>{leader}"
        f'<circle {ball}{dash} fill="#fff" class="outline-paper"/>'
        f'<text x="{number(x)}" y="{number(y + 5.6)}" font-size="16" text-anchor="middle" stroke="none" '
        f'class="outline-number">{one.mark.number}</text></g>'
    )
