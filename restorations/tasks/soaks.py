"""What soaking and trying again amount to: the chance that it comes free, and what to do next. Plain rules, no rows."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

LIMIT = 0.95
SOAK_DAYS = 14.0
PER_ATTEMPT = 0.92
MOST_DAYS, MOST_ATTEMPTS = 90.0, 30
TRIES_WITHOUT_GAIN = 3


def remedy_success(base: float, soaked_days: float, attempts: int) -> float:
    """The chance that a soaking remedy worked, once it has soaked longer than foreseen and been tried several times.

    `base` is the knowledge's own chance for the remedy as it describes it. What is left between it and 0.95 shrinks
    by 1 - 1/e in a fortnight of further soaking and by a twelfth with each patient attempt: judgement, common practice
    without a source; nobody has counted. It never falls with time or attempts, and never reaches 0.95, because what
    holds may not be what is soaked. A base above that is given back as it is.
    """
    if base >= LIMIT:
        return base
    days, tries = min(max(soaked_days, 0.0), MOST_DAYS), min(max(attempts, 0), MOST_ATTEMPTS)
    return LIMIT - (LIMIT - base) * math.exp(-days / SOAK_DAYS) * PER_ATTEMPT**tries


@dataclass(frozen=True, slots=True)
class Gain:
    """What one attempt gained both ways together, by which method; whether it went right round."""

    method: str
    gained: float
    full_turn: bool = False


@dataclass(frozen=True, slots=True)
class Advice:
    """What the rule says now: a heading and the reason. `kind` is begin, keep, again, change or turned."""

    kind: str
    words: str
    why: str = ""


BEGIN = Advice(
    "begin", "Mark where it stands, then try it gently each way.", "By hand only, cocks open, nobody near the wheels."
)
TURNED = Advice(
    "turned",
    "It went right round: measure how stiff it is now, all the way round. Do not connect air.",
    "Loosened rust and old oil score a bore as soon as it runs: clean and oil first, and feel for the tight place.",
)
KEEP = Advice(
    "keep", "It gained: keep to this method.", "Patience costs nothing; more force breaks what soaking would free."
)
CHANGE = Advice(
    "change",
    "Three attempts without any gain: stop, go to the next method, and ask a mentor first.",
    "The same push once more tells nothing new and may bend a rod.",
)


def advice(attempts: Sequence[Gain]) -> Advice:
    """What the attempts so far, oldest first, call for."""
    if not attempts:
        return BEGIN
    if any(attempt.full_turn for attempt in attempts):
        return TURNED
    last = attempts[-1]
    if last.gained > 0:
        return KEEP
    idle = _tries_without_gain(attempts)
    if idle >= TRIES_WITHOUT_GAIN:
        return CHANGE
    left = TRIES_WITHOUT_GAIN - idle
    return Advice("again", f"No gain yet: let it soak on and try {'once' if left == 1 else 'twice'} more this way.")


def _tries_without_gain(attempts: Sequence[Gain]) -> int:
    """The run of attempts at the end, by one method, that gained nothing."""
    idle = 0
    for attempt in reversed(attempts):
        if attempt.gained > 0 or _plain(attempt.method) != _plain(attempts[-1].method):
            break
        idle += 1
    return idle


def _plain(method: str) -> str:
    return " ".join(method.casefold().split())
