"""The outline drawing of an engine, made from its configuration: SVG text, no Django, no rows.

The drawing is of the kind of engine, not of the design: wheels, cylinders, gear and fittings follow the
configuration, proportions are common practice. Left side: front to the left; right side: front to the right.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from functools import lru_cache
from xml.sax.saxutils import escape

from restorations.knowledge.configuration import NOT_KNOWN, Configuration
from restorations.web.outline.locomotive import draw_locomotive
from restorations.web.outline.marine import draw_marine
from restorations.web.outline.marks import Mark, Ringed, draw_marks
from restorations.web.outline.regions import Region, divide, draw_regions
from restorations.web.outline.road_engine import draw_road_engine
from restorations.web.outline.sheet import HEIGHT, WIDTH, Anchor, Sheet
from restorations.web.outline.stationary import draw_stationary
from restorations.web.outline.svg import number
from restorations.web.outline.wording import describe, facing

__all__ = ["Anchor", "Mark", "Region", "anchor", "draw_outline", "drawn", "facing", "regions", "sides"]

SIDES = ("left", "right")
_KINDS: dict[str, Callable[[Configuration], Sheet]] = {
    "traction_engine": draw_road_engine,
    "stationary_engine": draw_stationary,
    "marine_engine": draw_marine,
}
# Parts a gear may have although the drawing shows none: they are ringed where the gear's drawn part is.
_STAND_INS: dict[str, dict[str, str]] = {
    NOT_KNOWN: dict.fromkeys(("return_crank", "expansion_link", "weighshaft"), "eccentric"),
    "reversing_block": {"reverser": "steam_chest"},
}


def sides(configuration: Configuration) -> tuple[str, ...]:
    """Return the sides worth showing."""
    return SIDES


def anchor(configuration: Configuration, at: str, place: str = "", *, side: str = "left") -> Anchor | None:
    """Return where a part is ringed, seen from `side`; None where the engine has no such part to draw."""
    found = drawn(configuration).find(at, place)
    return _seen_from(found, _known(side)) if found else None


@lru_cache(maxsize=128)
def regions(configuration: Configuration, *, side: str = "left") -> tuple[Region, ...]:
    """Return the parts that can be tapped, seen from `side`."""
    return divide(drawn(configuration), mirrored=_known(side) == "right")


def draw_outline(
    configuration: Configuration,
    *,
    side: str = "left",
    marks: Iterable[Mark] = (),
    links: Mapping[str, str] | None = None,
) -> str:
    """Draw the engine from one side with numbered rings; with `links` (region id: address) its parts can be tapped.

    With links the drawing is a group, for the children of an image are not read out.
    """
    sheet = drawn(configuration)
    marks = tuple(marks)
    mirror = f' transform="translate({number(WIDTH)} 0) scale(-1 1)"' if _known(side) == "right" else ""
    title, description = describe(configuration, side, marks)
    linked = draw_regions(regions(configuration, side=side), links) if links else ""
    view = f"0 {number(sheet.top)} {number(WIDTH)} {number(HEIGHT - sheet.top)}"
    return (
        f'<svg class="outline" xmlns="http://www.w3.org/2000/svg" viewBox="{view}" '
        f'role="{"group" if linked else "img"}"><title>{escape(title)}</title><desc>{escape(description)}</desc>'
        f'<g fill="none" stroke="currentColor" stroke-linejoin="round" stroke-linecap="round"{mirror}>'
        f"{''.join(sheet.items)}</g>{draw_marks(_ringed(sheet, side, marks), sheet.top)}{linked}</svg>"
    )


def _ringed(sheet: Sheet, side: str, marks: tuple[Mark, ...]) -> list[Ringed]:
    found = [(mark, sheet.find(mark.at, mark.place)) for mark in marks]
    hidden = {"left", "middle", "right"} - {side}
    return [
        Ringed(mark, _seen_from(place, side), bool(hidden & set(mark.place.split("."))))
        for mark, place in found
        if place is not None
    ]


def _seen_from(found: Anchor, side: str) -> Anchor:
    return found if side == "left" else Anchor(WIDTH - found.x, found.y, found.radius)


def _known(side: str) -> str:
    if side not in SIDES:
        raise ValueError(f"side {side!r} is none of {', '.join(SIDES)}")
    return side


@lru_cache(maxsize=64)
def drawn(configuration: Configuration) -> Sheet:
    """Draw the engine once, with nothing ringed; nobody changes a finished sheet."""
    sheet = _KINDS.get(configuration.kind, draw_locomotive)(configuration)
    for at, stand_in in _STAND_INS.get(configuration.valve_gear, {}).items():
        if stand_in in sheet.anchors:
            sheet.anchors.setdefault(at, sheet.anchors[stand_in])
    return sheet
