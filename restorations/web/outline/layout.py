"""Where a locomotive's wheels, cylinders and boiler stand: full-size proportions in feet, fitted to the sheet.

The proportions are common practice, no source: a plain engine of the kind, not any one design.
"""

from __future__ import annotations

from dataclasses import dataclass

from restorations.knowledge.configuration import Configuration
from restorations.web.outline.motion import Motion
from restorations.web.outline.sheet import GROUND, WIDTH

TANK_WHEELS = {1: 5.0, 2: 3.7, 3: 4.2, 4: 4.0, 5: 3.8, 6: 3.6}
TENDER_WHEELS = {1: 7.4, 2: 6.4, 3: 5.6, 4: 4.7, 5: 4.5, 6: 4.2}
MARGIN = 16.0
TALLEST = 262.0
TENDER_SHOWN = 6.4  # feet of tender drawn before the break line
CYLINDER_HALF = 1.7


def oscillates(configuration: Configuration) -> bool:
    """Say whether the cylinders rock on a trunnion, which leaves them neither crosshead nor valve gear."""
    return "oscillating" in (configuration.cylinder_mounting, configuration.valve)


@dataclass(frozen=True, slots=True)
class Layout:
    """A locomotive on the sheet, in sheet units, front to the left."""

    scale: float  # units per foot
    wheel: float  # radius of a coupled wheel
    truck_wheel: float
    coupled: tuple[float, ...]
    leading: tuple[float, ...]
    trailing: tuple[float, ...]
    driving: int  # index into coupled
    beam: float
    cylinder: float
    smokebox: tuple[float, float]
    cab: tuple[float, float]
    rear: float
    tender: bool
    board: float  # height of the running board
    boiler: float  # height of the boiler's middle
    barrel: float  # its radius

    @property
    def axle(self) -> float:
        """Height of the coupled axles."""
        return GROUND - self.wheel

    @property
    def chimney_top(self) -> float:
        return self.boiler - self.barrel - 2.9 * self.scale

    def motion(self, *, inside: bool, piston_valve: bool) -> Motion:
        """Sizes of the cylinder and rods that drive the driving axle."""
        throw = min(0.235 * 2 * self.wheel, 1.15 * self.scale)
        bore = min(0.92 * self.scale, 0.6 * self.wheel)
        return Motion(throw, self.coupled[self.driving] - self.cylinder, bore, inside, piston_valve)


@dataclass(frozen=True, slots=True)
class _Feet:
    """Lengths along the engine from the front buffer beam, in feet."""

    wheel: float
    cylinder: float
    leading: tuple[float, ...]
    coupled: tuple[float, ...]
    trailing: tuple[float, ...]
    rear: float


def lay_out(configuration: Configuration) -> Layout:
    """Fit the engine to the sheet; what is not known takes the commonest form."""
    tender = configuration.kind == "tender_locomotive"
    feet = _along(configuration, tender)
    length = feet.rear + (0.8 + TENDER_SHOWN if tender else 1.3) + 1.4
    board = feet.wheel + 0.35 if feet.wheel < 4.7 else 4.6
    barrel = 2.3 if tender else 1.95
    boiler = max(board + barrel + 0.25, 7.7 if tender else 0.0)
    scale = min((WIDTH - 2 * MARGIN) / length, TALLEST / (boiler + barrel + 2.9))
    left = (WIDTH - scale * length) / 2 + 1.4 * scale

    def x(value: float) -> float:
        return left + scale * value

    cab_back = feet.rear - (0.2 if tender else 2.3)
    return Layout(
        scale=scale,
        wheel=scale * feet.wheel / 2,
        truck_wheel=scale * 1.5,
        coupled=tuple(map(x, feet.coupled)),
        leading=tuple(map(x, feet.leading)),
        trailing=tuple(map(x, feet.trailing)),
        driving=_driving(configuration, bool(feet.leading)) - 1,
        beam=left,
        cylinder=x(feet.cylinder),
        smokebox=(x(feet.cylinder - 1.9), x(feet.cylinder + 1.7)),
        cab=(x(cab_back - 4.6), x(cab_back)),
        rear=x(feet.rear),
        tender=tender,
        board=GROUND - scale * board,
        boiler=GROUND - scale * boiler,
        barrel=scale * barrel,
    )


def _along(configuration: Configuration, tender: bool) -> _Feet:
    count = configuration.axle_count
    wheel = (TENDER_WHEELS if tender else TANK_WHEELS)[count]
    leading = _leading_axles(configuration, tender, count)
    cylinder = (3.0, 3.1, 5.2)[len(leading)]
    first = max(cylinder + CYLINDER_HALF, (leading or (0.0,))[-1] + 1.5) + wheel / 2 + 0.4
    if _driving(configuration, bool(leading)) == 1 and not oscillates(configuration):
        first = max(first, cylinder + 8.2)
    gap = wheel + (1.8 if count == 2 else 0.7)
    coupled = tuple(first + gap * place for place in range(count))
    trailing = (coupled[-1] + wheel / 2 + 2.3,) if configuration.truck in ("trailing", "both") else ()
    behind = (trailing or coupled)[-1] + (1.5 if trailing else wheel / 2)
    return _Feet(wheel, cylinder, leading, coupled, trailing, max(behind + (1.2 if tender else 2.6), cylinder + 13.2))


def _leading_axles(configuration: Configuration, tender: bool, count: int) -> tuple[float, ...]:
    if configuration.truck not in ("leading", "both"):
        return ()
    return (2.3, 8.1) if tender and count <= 3 else (2.5,)


def _driving(configuration: Configuration, has_leading: bool) -> int:
    """Return which coupled axle is driven, counted from 1."""
    count = configuration.axle_count
    if configuration.driving_axle is not None:
        return configuration.driving_axle
    if oscillates(configuration):
        return 1
    if count == 2:
        inside = configuration.cylinder_layout in ("two_inside", "one")
        return 1 if has_leading and inside else 2
    return {1: 1, 3: 2, 4: 3, 5: 3, 6: 4}[count]
