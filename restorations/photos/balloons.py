"""Where a drawing balloon is put when only the spot it points at was given. Pure; all places are fractions."""

from collections.abc import Iterable
from math import cos, hypot, pi, sin

Spot = tuple[float, float]

LEADER = 0.14
EDGE = 0.05
_WAYS = [(cos(turn * pi / 4), -sin(turn * pi / 4)) for turn in (1, 3, 0, 4, 2, 5, 7, 6)]  # up and aside first


def balloon_for(spot: Spot, drawn: Iterable[Spot] = ()) -> Spot:
    """The first place inside the picture, one leader away or two, with room between it and what is drawn already."""
    others = list(drawn)
    places = [
        (spot[0] + length * across, spot[1] + length * down)
        for length in (LEADER, 2 * LEADER)
        for across, down in _WAYS
    ]
    inside = [place for place in places if all(EDGE <= part <= 1 - EDGE for part in place)]
    return max(inside, key=lambda place: _room(place, others))


def _room(place: Spot, others: list[Spot]) -> float:
    """How far the nearest is; more than a leader's length is no better, so the first way that has it is taken."""
    return min([LEADER, *(hypot(place[0] - x, place[1] - y) for x, y in others)])
