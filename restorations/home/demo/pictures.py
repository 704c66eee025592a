"""The demo's photographs, drawn by the project itself: the outline of the engine, and simple drawings of what came off.

All are set in one go, so that loading stays quick, and then taken in like any picture somebody sends.
"""

import io
import json
from collections.abc import Iterable

import typst

from restorations.knowledge import Configuration
from restorations.photos.intake import Picture, read_picture
from restorations.web.outline import draw_outline

_PAPER = b"""#set page(width: 520pt, height: 340pt, margin: (x: 10pt, y: 12pt), fill: rgb("#e9e5da"))
#for drawing in json(bytes(sys.inputs.drawings)) { page(image(bytes(drawing), format: "svg", width: 100%)) }"""
_RUST, _OIL, _METAL = "#9a5a34", "#6d6a5b", "#d3d0c6"


def draw_pictures(configuration: Configuration) -> dict[str, Picture]:
    """Every photograph of the story by its name."""
    drawings = {"left": draw_outline(configuration), "right": draw_outline(configuration, side="right"), **_drawings()}
    inputs = {"drawings": json.dumps(list(drawings.values()))}
    pages = typst.compile(_PAPER, format="png", ppi=144, sys_inputs=inputs)
    if not isinstance(pages, list):
        raise TypeError("typst gave no list of pages")
    return {
        name: read_picture(io.BytesIO(page)) for name, page in zip(drawings, pages, strict=True) if page is not None
    }


def _drawings() -> dict[str, str]:
    return {
        "front": _front(),
        "plate": _plate(),
        "left rod": _rod("left", rust=True),
        "right rod": _rod("right", rust=False),
        "small lever": _small_lever(),
        "feed pipe": _feed_pipe(),
        "gland as found": _gland(rust=True),
        "gland wiped": _gland(rust=False),
        "rod at first": _rod_in_gland(0.0),
        "rod later": _rod_in_gland(8.0),
    }


def _drawing(*shapes: str) -> str:
    ink = 'stroke="#1d1d1b" stroke-width="2.4" stroke-linecap="round" stroke-linejoin="round" fill="none"'
    bench = '<path d="M10 296 H510" stroke-width="1.2"/>'
    return f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 520 318"><g {ink}>{bench}{"".join(shapes)}</g></svg>'


def _round(x: float, y: float, radius: float, fill: str = "none") -> str:
    return f'<circle cx="{x}" cy="{y}" r="{radius}" fill="{fill}"/>'


def _box(x: float, y: float, width: float, height: float, fill: str = _METAL) -> str:
    return f'<rect x="{x}" y="{y}" width="{width}" height="{height}" fill="{fill}"/>'


def _line(path: str, fill: str = "none") -> str:
    return f'<path d="{path}" fill="{fill}"/>'


def _spots(places: Iterable[tuple[float, float]], colour: str) -> str:
    return "".join(f'<circle cx="{x}" cy="{y}" r="4" fill="{colour}" stroke="none"/>' for x, y in places)


def _front() -> str:
    wheels = _box(150, 220, 18, 70) + _box(352, 220, 18, 70)
    beam = _box(120, 205, 280, 26) + _round(160, 218, 15, _METAL) + _round(360, 218, 15, _METAL)
    tanks = _box(136, 110, 62, 95) + _box(322, 110, 62, 95)
    door = _round(260, 130, 70, _METAL) + _round(260, 130, 52) + _line("M260 130 V98 M260 130 H292")
    chimney = _line("M240 62 L246 20 H274 L280 62 Z", _METAL)
    return _drawing(wheels, tanks, chimney, door, beam, _box(70, 232, 78, 46), _box(372, 232, 78, 46))


def _plate() -> str:
    """Number 17 on its plate."""
    digits = _line("M205 118 L225 100 V200") + _line("M265 100 H315 L285 200")
    screws = _round(150, 150, 6, _METAL) + _round(370, 150, 6, _METAL)
    return _drawing('<ellipse cx="260" cy="150" rx="140" ry="86" fill="#d8c48a"/>', digits, screws)


def _rod(side: str, *, rust: bool) -> str:
    """A connecting rod on the bench, oil hole up; scored where it went round the pin of the other side's."""
    big, small = (110, 410) if side == "left" else (410, 110)
    bar = _line(f"M{big} 168 L{small} 178 V202 L{big} 212 Z", _METAL)
    ends = _round(big, 190, 40, _METAL) + _round(big, 190, 22) + _round(small, 190, 26, _METAL) + _round(small, 190, 12)
    hole = _round(big, 156, 3, "#1d1d1b")
    marks = _spots([(200, 186), (214, 196), (262, 188), (318, 194)], _RUST) if rust else _line("M392 180 q10 8 6 18")
    return _drawing(bar, ends, hole, marks)


def _small_lever() -> str:
    bar = _line("M160 250 L250 150 L380 128 V152 L262 174 L180 264 Z", _METAL)
    return _drawing(bar, _round(170, 256, 20, _METAL), _round(256, 162, 18, _METAL), _round(380, 140, 16, _METAL))


def _feed_pipe() -> str:
    """Two ends, each with its nut; one plugged."""
    pipe = _line("M40 210 H190 M40 226 H190") + _line("M330 130 H480 M330 146 H480")
    return _drawing(pipe, _box(190, 200, 40, 36), _box(290, 120, 40, 36), _box(230, 208, 16, 20, "#b5653a"))


def _gland(*, rust: bool) -> str:
    block, nut = _box(60, 80, 190, 180), _box(250, 120, 70, 100)
    rod = _box(320, 156, 180, 28, _METAL if not rust else "#b9a18c")
    spots = [(330, 162), (342, 174), (356, 160), (262, 136), (280, 204), (300, 150), (372, 178), (390, 164)]
    return _drawing(block, nut, rod, _spots(spots, _RUST) if rust else "", _line("M262 128 V212 M284 128 V212"))


def _rod_in_gland(moved: float) -> str:
    """From the same spot each time, with a rule beside it: how far the rod stands out."""
    rule = _box(200, 230, 280, 26, "#efe9d0")
    lines = "".join(_line(f"M{x} 230 v{14 if (x - 210) % 50 == 0 else 8}") for x in range(210, 480, 10))
    rod = _box(200, 150, 150 + moved, 30) + _box(350 + moved, 130, 60, 70)
    return _drawing(_box(40, 90, 120, 150), _box(160, 124, 40, 82), rod, rule, lines, _spots([(206, 160)], _OIL))
