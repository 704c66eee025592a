"""Words for what the numbers say: odds, weights, minutes."""

import math
from fractions import Fraction

LIKELINESS = ((0.9, "very likely"), (0.6, "likely"), (0.2, "possible"), (0.08, "unlikely"), (0.0, "very unlikely"))
FRACTIONS = tuple(
    Fraction(top, bottom)
    for top, bottom in (
        (1, 1000), (1, 500), (1, 200), (1, 100), (1, 50), (1, 30), (1, 20), (1, 15), (1, 12), (1, 10), (1, 8), (1, 6),
        (1, 5), (1, 4), (1, 3), (2, 5), (1, 2), (3, 5), (2, 3), (3, 4), (4, 5), (5, 6), (9, 10), (19, 20), (49, 50),
    )
)  # fmt: skip


def probability(log_odds: float) -> float:
    return 1 / (1 + math.exp(-log_odds)) if log_odds > -700 else 0.0


def likeliness(p: float) -> str:
    """A word for a probability; the bands are ours."""
    return next(word for least, word in LIKELINESS if p >= least)


def as_fraction(p: float) -> str:
    """The nearest plain fraction, never above 99 in 100: a ranking is no proof."""
    if p >= 0.985:
        return "99 in 100 or more"
    if p < 0.0007:
        return "less than 1 in 1000"
    nearest = min(FRACTIONS, key=lambda fraction: abs(_logit(float(fraction)) - _logit(p)))
    return f"about {nearest.numerator} in {nearest.denominator}"


def _logit(p: float) -> float:
    return math.log(p / (1 - p))


def odds_moved(before_decibans: float, weight: float) -> str:
    """From what to what the odds went: two fractions."""
    before = probability(before_decibans * math.log(10) / 10)
    after = probability((before_decibans + weight) * math.log(10) / 10)
    return f"from {as_fraction(before)} to {as_fraction(after)}"


def minutes_in_words(minutes: float) -> str:
    if minutes < 90:
        return f"{max(1, round(minutes))} min"
    hours = minutes / 60
    return f"{hours:.1f} h" if hours < 10 else f"{round(hours)} h"


def days_in_words(days: float) -> str:
    if days < 1:
        return f"{max(1, round(days * 24))} h"
    return "1 day" if round(days) == 1 else f"{round(days)} days"
