"""What the planner of next steps trades against each other."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Prices:
    """What a function test, a point of risk, a day of waiting and handing over count for, in attended minutes.

    Handing over is dear on purpose (a week of evenings by somebody else): where it is cheap the planner gives up before
    it has looked, and a look is worth nothing to it.
    """

    test_minutes: float = 10.0
    per_risk: float = 10.0
    per_day: float = 5.0
    hand_over_minutes: float = 3000.0
