"""Words for what numbers and ids say: odds, weights, minutes, parts, answers."""

import math
from collections.abc import Iterable
from fractions import Fraction

from restorations.knowledge import EngineKnowledge

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
    return f"from {_bare(before)} to {_bare(after)}"


def _bare(p: float) -> str:
    return as_fraction(p).removeprefix("about ")


# The line under the heading, in the order it is read out at the bench.
STATE_WORDS = {
    "driven_by": "{}",
    "wheels": "wheels {}",
    "drain_cocks": "cocks {}",
    "temperature": "{}",
    "gear": "gear {}",
}
RISK_TO_THE_ENGINE = ("no harm to expect", "can be marked", "can be damaged", "can be ruined")
RISK_TO_PEOPLE = ("no harm to expect", "can be bruised or cut", "can be hurt badly", "can be killed")


def answered(asked: str, answer: str) -> str:
    """What was asked with its answer, as one line: "Is it tight? No"; "Turn the wheels: free"."""
    if asked.endswith("?"):
        return f"{asked} {answer[:1].upper()}{answer[1:]}"
    return f"{asked}: {answer[:1].lower()}{answer[1:]}"


def part_apart(name: str) -> tuple[str, str]:
    """A part's name, and what "off" means for it where that is not plainly taken off."""
    before, mark, rest = name.partition(" (off: ")
    meaning, _, where = rest.partition(")")
    return (before + where, meaning) if mark else (name, "")


def part_name(expanded: EngineKnowledge, part: str) -> str:
    return expanded.parts[part].name if part in expanded.parts else part.replace("_", " ").replace("@", ", ")


def off_in_words(names: Iterable[str]) -> tuple[str, ...]:
    """Parts as they are read out: "connecting rod (left and right side)" where both are off."""
    places: dict[str, list[str]] = {}
    for name in names:
        title, _, where = part_apart(name)[0].partition(" (")
        places.setdefault(title, []).append(where.removesuffix(")"))
    return tuple(_with_places(title[:1].lower() + title[1:], found) for title, found in sorted(places.items()))


def _with_places(title: str, places: list[str]) -> str:
    """ "cylinder cover (left side, front and back end)": what the places share is said once."""
    before, _, _ = places[0].rpartition(", ")
    shared = before if all(place.rpartition(", ")[0] == before for place in places) else ""
    short = [place.removeprefix(f"{shared}, ") for place in places]
    kind = short[0].rpartition(" ")[2]
    if all(place.endswith(f" {kind}") and ", " not in place for place in short):
        short = [*(place.removesuffix(f" {kind}") for place in short[:-1]), short[-1]]
    where = ", ".join(filter(None, (shared, " and ".join(filter(None, short)))))
    return f"{title} ({where})" if where else title


def minutes_in_words(minutes: float) -> str:
    if minutes < 90:
        return f"{max(1, round(minutes))}\u00a0min"
    hours = minutes / 60
    return (f"{hours:.1f}".removesuffix(".0") if hours < 10 else f"{round(hours)}") + "\u00a0h"


def days_in_words(days: float) -> str:
    if days < 1:
        return f"{max(1, round(days * 24))} h"
    return "1 day" if round(days) == 1 else f"{round(days)} days"
