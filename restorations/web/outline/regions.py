"""The parts that can be tapped, each at least 44 px each way on a phone and none over another."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from typing import NamedTuple
from xml.sax.saxutils import escape, quoteattr

from restorations.web.outline.sheet import HEIGHT, TAP, WIDTH, Sheet, Zone
from restorations.web.outline.svg import number

TRIES = 6  # followed to the end at the first cut: a twentieth of a second at worst, once per configuration


@dataclass(frozen=True, slots=True)
class Region:
    """A tappable part: its id, its accessible name and its rectangle on the sheet."""

    id: str
    name: str
    x: float
    y: float
    width: float
    height: float


def divide(sheet: Sheet, *, mirrored: bool) -> tuple[Region, ...]:
    """Cut the sheet, straight across or straight down, until every part has a piece of its own."""
    _, pieces = _cut(sheet.zones, _Piece(0.0, sheet.top, WIDTH, HEIGHT - sheet.top), TRIES)
    return tuple(
        Region(zone.region, zone.name, WIDTH - piece.x - piece.width if mirrored else piece.x, *piece[1:])
        for zone, piece in pieces
    )


def draw_regions(regions: tuple[Region, ...], links: Mapping[str, str]) -> str:
    """Draw a link over every region that has an address."""
    return "".join(
        f'<a class="outline-region" href={quoteattr(links[region.id])} aria-label={quoteattr(region.name)}>'
        f"<title>{escape(region.name)}</title>"
        f'<rect x="{number(region.x)}" y="{number(region.y)}" width="{number(region.width)}" '
        f'height="{number(region.height)}" rx="3" fill="transparent" stroke-width="2"/></a>'
        for region in regions
        if region.id in links
    )


def _thumbs(length: float) -> int:
    """Return how many thumbs fit; the grain keeps a rounding error from losing one."""
    return int((length + 1e-6) // TAP)


class _Piece(NamedTuple):
    x: float
    y: float
    width: float
    height: float

    def holds(self, count: int) -> bool:
        return count <= _thumbs(self.width) * _thumbs(self.height)

    def split(self, down: bool, edge: float) -> tuple[_Piece, _Piece]:
        if down:
            left = edge - self.x
            return _Piece(self.x, self.y, left, self.height), _Piece(edge, self.y, self.width - left, self.height)
        above = edge - self.y
        return _Piece(self.x, self.y, self.width, above), _Piece(self.x, edge, self.width, self.height - above)


_Pieces = list[tuple[Zone, _Piece]]


def _cut(zones: list[Zone], piece: _Piece, tries: int, limit: float = math.inf) -> tuple[float, _Pieces]:
    """Return how far parts lie outside their own pieces, and the pieces; none where that is not under `limit`.

    `tries` cuts are followed to the end; the first cuts decide most, so each half is searched with fewer.
    """
    if len(zones) == 1:
        return _outside(zones[0], piece), [(zones[0], piece)]
    best: tuple[float, _Pieces] = (limit, [])
    fewer = max(1, tries - 1)
    for _, edge, count, down in sorted((*_cuts(zones, piece, True), *_cuts(zones, piece, False)))[:tries]:
        ordered = sorted(zones, key=_along(down))
        first, second = piece.split(down, edge)
        cost, pieces = _cut(ordered[:count], first, fewer, best[0])
        if cost >= best[0]:
            continue
        more, rest = _cut(ordered[count:], second, fewer, best[0] - cost)
        if cost + more < best[0]:
            best = (cost + more, pieces + rest)
        if best[0] == 0.0:
            break
    return best if best[1] else (math.inf, [])


def _outside(zone: Zone, piece: _Piece) -> float:
    """Return the square of how far a part's point lies outside its piece, so that one bad miss outweighs several."""
    across = max(piece.x - zone.x, zone.x - piece.x - piece.width, 0.0)
    along = max(piece.y - zone.y, zone.y - piece.y - piece.height, 0.0)
    return across**2 + along**2


def _cuts(zones: list[Zone], piece: _Piece, down: bool) -> Iterator[tuple[float, float, int, bool]]:
    """Yield the lawful cuts one way: how bad, where, how many parts before it, which way."""
    along = _along(down)
    spots = sorted(along(zone) for zone in zones)
    low, high = (piece.x, piece.x + piece.width) if down else (piece.y, piece.y + piece.height)
    for count in range(1, len(spots)):
        ideal = (spots[count - 1] + spots[count]) / 2
        for edge in sorted(_edges(low, high, ideal), key=lambda edge: abs(edge - ideal)):
            before, after = piece.split(down, edge)
            if before.holds(count) and after.holds(len(spots) - count):
                astray = sum(max(spot - edge, 0) for spot in spots[:count])
                astray += sum(max(edge - spot, 0) for spot in spots[count:])
                yield (10 * astray - (spots[count] - spots[count - 1]), edge, count, down)
                break


def _edges(low: float, high: float, ideal: float) -> set[float]:
    """Return the places worth trying: midway between two parts, or a whole number of thumbs from either end."""
    steps = range(1, _thumbs(high - low))
    return {
        edge for edge in (ideal, *(low + TAP * n for n in steps), *(high - TAP * n for n in steps)) if low < edge < high
    }


def _along(down: bool) -> Callable[[Zone], float]:
    return (lambda zone: zone.x) if down else (lambda zone: zone.y)
