"""An engine's silhouette, and how long the real one is: both from its build, for a drawing in which sizes compare."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

from restorations.knowledge.configuration import LOCOMOTIVES, NOT_KNOWN, Configuration
from restorations.web.outline import drawn
from restorations.web.outline.layout import lay_out
from restorations.web.outline.sheet import GROUND, WIDTH
from restorations.web.outline.svg import number

FOOT_MM = 304.8
STANDARD_GAUGE_MM = 1435.0
COMMON_GAUGE_MM = 127.0  # 5 in, the commonest of the club railways: common practice, no source
# How wide the sheet is on the ground where nothing on it has a gauge: a judgement, said to be none on the page.
OTHERS_MM = {"traction_engine": 1100.0, "stationary_engine": 600.0, "marine_engine": 500.0}
RAILS = 14.0


@dataclass(frozen=True, slots=True)
class Silhouette:
    """The drawing, the width of its sheet in the real [mm], and whether that was measured or assumed."""

    svg: str
    width_mm: float
    is_to_scale: bool


@lru_cache(maxsize=256)
def silhouette(configuration: Configuration, gauge_mm: float | None) -> Silhouette:
    """Draw it in solid ink, front to the left."""
    sheet = drawn(configuration)
    height = GROUND + RAILS - sheet.top
    ink = "".join(sheet.items).replace('fill="#fff"', 'fill="currentColor"')
    svg = (
        f'<svg class="silhouette" xmlns="http://www.w3.org/2000/svg" aria-hidden="true" focusable="false" '
        f'viewBox="0 {number(sheet.top)} {number(WIDTH)} {number(height)}">'
        f'<g fill="none" stroke="currentColor" stroke-linejoin="round">{ink}</g></svg>'
    )
    return Silhouette(svg, *_width(configuration, gauge_mm))


def _width(configuration: Configuration, gauge_mm: float | None) -> tuple[float, bool]:
    if configuration.kind in OTHERS_MM:
        return OTHERS_MM[configuration.kind], False
    feet = WIDTH / lay_out(configuration).scale
    known = gauge_mm is not None and configuration.kind in (*LOCOMOTIVES, NOT_KNOWN)
    return feet * FOOT_MM * (gauge_mm or COMMON_GAUGE_MM) / STANDARD_GAUGE_MM, known
