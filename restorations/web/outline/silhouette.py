"""An engine's silhouette, and how long the real one is: both from its build, for a drawing in which sizes compare."""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import lru_cache

from django.utils.safestring import SafeString, mark_safe

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
EMS_PER_MM = 0.0085  # at 16 px a tank engine of 5 in gauge is 95 px long: two to a road on a phone
_BEHIND = re.compile(r'<(?:path|circle)[^>]*class="outline-behind"/>')


@dataclass(frozen=True, slots=True)
class Silhouette:
    """The drawing, the width of its sheet in the real [mm], and whether that was measured or assumed."""

    svg: SafeString
    width_mm: float
    is_to_scale: bool


@lru_cache(maxsize=256)
def silhouette(configuration: Configuration, gauge_mm: float | None) -> Silhouette:
    """Draw it in solid ink, front to the left, from the rail up; its width is in ems, so that the page scales it.

    Numbers and our own shapes only: nothing that a member typed is in it.
    """
    sheet = drawn(configuration)
    width_mm, is_to_scale = _width(configuration, gauge_mm)
    ink = _BEHIND.sub("", "".join(sheet.items)).replace('fill="#fff"', 'fill="currentColor"')
    svg = (
        f'<svg class="silhouette" xmlns="http://www.w3.org/2000/svg" aria-hidden="true" focusable="false" '
        f'width="{width_mm * EMS_PER_MM:.1f}em" viewBox="0 {number(sheet.top)} {number(WIDTH)} '
        f'{number(GROUND - sheet.top)}"><g fill="none" stroke="currentColor" stroke-linejoin="round">{ink}</g></svg>'
    )
    return Silhouette(mark_safe(svg), width_mm, is_to_scale)  # noqa: S308


def _width(configuration: Configuration, gauge_mm: float | None) -> tuple[float, bool]:
    if configuration.kind in OTHERS_MM:
        return OTHERS_MM[configuration.kind], False
    feet = WIDTH / lay_out(configuration).scale
    known = gauge_mm is not None and configuration.kind in (*LOCOMOTIVES, NOT_KNOWN)
    return feet * FOOT_MM * (gauge_mm or COMMON_GAUGE_MM) / STANDARD_GAUGE_MM, known
