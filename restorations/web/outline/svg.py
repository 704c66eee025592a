"""SVG shapes as text: strokes are presentation attributes, colours are classes, never a style attribute."""

from __future__ import annotations

import math
import re
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Stroke:
    """One pen: its width, its dashes, and whether it draws what lies behind."""

    width: float
    dash: str = ""
    behind: bool = False


OUTLINE = Stroke(1.6)
BODY = Stroke(0.0)  # an area without an edge of its own: paper in a drawing, ink in a silhouette
FINE = Stroke(0.8, behind=True)
HIDDEN = Stroke(0.9, "4 2", behind=True)
_NUMBER = re.compile(r"-?\d+(?:\.\d+)?(?:e[+-]?\d+)?")


def number(value: float) -> str:
    """Write a coordinate with one decimal at most."""
    text = f"{value:.1f}".rstrip("0").rstrip(".")
    return "0" if text == "-0" else text


def xy(point: tuple[float, float]) -> str:
    """Write a point as it stands in a path."""
    return f"{point[0]} {point[1]}"


def polar(radius: float, angle: float, x: float = 0.0, y: float = 0.0) -> tuple[float, float]:
    """Return the point `radius` away from (x, y), the angle in radians clockwise from the right."""
    return (x + radius * math.cos(angle), y + radius * math.sin(angle))


def path(stroke: Stroke, shape: str, *, paper: bool = False) -> str:
    """Draw a path given by its letters and numbers; `paper` hides what was drawn before under it."""
    return f'<path d="{_NUMBER.sub(_rounded, shape)}"{_pen(stroke, paper)}/>'


def circle(stroke: Stroke, x: float, y: float, radius: float, *, paper: bool = False) -> str:
    """Draw a circle round a centre."""
    where = f'cx="{number(x)}" cy="{number(y)}" r="{number(radius)}"'
    return f"<circle {where}{_pen(stroke, paper)}/>"


def turned(items: list[str], x: float, y: float, turn: float) -> str:
    """Group items drawn about an origin and put them in place, turned clockwise in degrees."""
    rotate = f" rotate({number(turn)})" if turn else ""
    return f'<g transform="translate({number(x)} {number(y)}){rotate}">{"".join(items)}</g>'


def _pen(stroke: Stroke, paper: bool) -> str:
    dash = f' stroke-dasharray="{stroke.dash}"' if stroke.dash else ""
    fill = ' fill="#fff"' if paper else ""
    names = [name for name, wanted in (("outline-behind", stroke.behind), ("outline-paper", paper)) if wanted]
    classes = f' class="{" ".join(names)}"' if names else ""
    return f' stroke-width="{number(stroke.width)}"{dash}{fill}{classes}'


def _rounded(found: re.Match[str]) -> str:
    return number(float(found.group()))
