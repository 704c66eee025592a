"""What the planner of next steps trades against each other."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Prices:
    """What a function test, a point of risk, a day of waiting and handing over count for, in attended minutes."""

    test_minutes: float = 10.0
    per_risk: float = 10.0
    per_day: float = 5.0
    hand_over_minutes: float = 240.0
