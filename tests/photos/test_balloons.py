"""Where a balloon is put when nobody said."""

from math import hypot

from hypothesis import given
from hypothesis import strategies as st

from restorations.photos.balloons import EDGE, LEADER, balloon_for

FRACTION = st.floats(0, 1)
SPOTS = st.lists(st.tuples(FRACTION, FRACTION), max_size=12)


@given(FRACTION, FRACTION, SPOTS)
def test_it_stands_inside_the_picture_beside_its_spot(x: float, y: float, drawn: list[tuple[float, float]]) -> None:
    across, down = balloon_for((x, y), drawn)
    assert EDGE <= across <= 1 - EDGE
    assert EDGE <= down <= 1 - EDGE
    assert LEADER - 1e-9 <= hypot(across - x, down - y) <= 2 * LEADER + 1e-9


@given(FRACTION, FRACTION)
def test_two_marks_on_one_spot_get_balloons_apart(x: float, y: float) -> None:
    first = balloon_for((x, y))
    second = balloon_for((x, y), [(x, y), first])
    assert hypot(first[0] - second[0], first[1] - second[1]) >= 2 * EDGE
