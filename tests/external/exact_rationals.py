"""The diagnosis in exact rational arithmetic, written from its definition and sharing no code with the project's.

Every double is a rational number, so every sum below is exact; the only rounding is in the project's own answer.
"""

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction
from functools import cache
from itertools import pairwise, product
from typing import Any

from restorations.calc.diagnosis import Event, Inspected, Observed, Remedied

ONE = Fraction(1)


@dataclass(frozen=True)
class ExactPosterior:
    """Exact P(present now), P(present at the start) and P(everything seen)."""

    now: dict[str, Fraction]
    at_start: dict[str, Fraction]
    evidence: Fraction

    @property
    def log_evidence(self) -> float:
        """Natural log, right however small the evidence is: a power of two is taken out before rounding."""
        halvings = self.evidence.denominator.bit_length() - self.evidence.numerator.bit_length()
        return math.log(float(self.evidence * Fraction(2) ** halvings)) - halvings * math.log(2.0)


@dataclass(frozen=True)
class Fate:
    """What became of one cause: never there (until = -1), cured by the event numbered `until`, or still there."""

    chance: Fraction
    until: float


def exact_posterior(model: dict[str, Any], history: Sequence[Event]) -> ExactPosterior | None:
    """The posterior of a model mapping, None where the evidence is impossible."""
    fates = {cause: _fates(cause, Fraction(prior), history) for cause, prior in model["causes"].items()}
    draws = [
        _Draw(finding, tuple(looks), tuple(fates))
        for name, finding in model["findings"].items()
        for looks in _shared_draws(name, finding, history, fates)
    ]
    now, at_start = dict.fromkeys(fates, Fraction(0)), dict.fromkeys(fates, Fraction(0))
    evidence = Fraction(0)
    for combination in product(*fates.values()):
        weight = math.prod((fate.chance for fate in combination), start=ONE)
        for cause, fate in zip(fates, combination, strict=True):
            weight *= _inspections(cause, fate, history) if weight else 0
        for draw in draws:
            weight *= draw.chance(combination) if weight else 0
        evidence += weight
        for cause, fate in zip(fates, combination, strict=True):
            at_start[cause] += weight if fate.until >= 0 else 0
            now[cause] += weight if fate.until == math.inf else 0
    if not evidence:
        return None
    shares = [{cause: p / evidence for cause, p in part.items()} for part in (now, at_start)]
    return ExactPosterior(shares[0], shares[1], evidence)


def _fates(cause: str, prior: Fraction, history: Sequence[Event]) -> list[Fate]:
    found, left = [Fate(1 - prior, -1)], prior
    for time, event in enumerate(history):
        if isinstance(event, Remedied) and event.cause == cause:
            found.append(Fate(left * Fraction(event.success), time))
            left *= 1 - Fraction(event.success)
    return [*found, Fate(left, math.inf)]


def _inspections(cause: str, fate: Fate, history: Sequence[Event]) -> Fraction:
    chance = ONE
    for time, event in enumerate(history):
        if isinstance(event, Inspected) and event.cause == cause:
            shows = Fraction(event.sensitivity if fate.until > time else event.false_alarm)
            chance *= shows if event.present else 1 - shows
    return chance


Looks = list[tuple[int, Observed]]


def _shared_draws(
    name: str, finding: dict[str, Any], history: Sequence[Event], fates: dict[str, list[Fate]]
) -> Iterator[Looks]:
    """Looks that share a draw: a look marked fresh, or one that no draw allows after the others, opens the next."""
    shared: Looks = []
    for time, event in enumerate(history):
        if not isinstance(event, Observed) or event.finding != name:
            continue
        longer = [*shared, (time, event)]
        if shared and (event.fresh or not _could_be(finding, longer, fates)):
            yield shared
            longer = [(time, event)]
        shared = longer
    if shared:
        yield shared


def _could_be(finding: dict[str, Any], looks: Looks, fates: dict[str, list[Fate]]) -> bool:
    draw = _Draw(finding, tuple(looks), tuple(fates))
    return any(all(f.chance for f in c) and draw.chance(c) for c in product(*fates.values()))


class _Draw:
    """One draw of a finding and the looks that share it."""

    def __init__(
        self, finding: dict[str, Any], looks: tuple[tuple[int, Observed], ...], causes: tuple[str, ...]
    ) -> None:
        self.looks = looks
        self.seen = tuple(look.level for _, look in looks)
        self.leak = _exactly(finding["leak"])
        self.links = [(causes.index(c), c, _exactly(strengths)) for c, strengths in finding["links"].items()]
        self.chance_of = cache(self._chance_of)

    def chance(self, combination: Sequence[Fate]) -> Fraction:
        """P(all looks | what became of each cause)."""
        return self.chance_of(tuple(combination[number].until for number, _, _ in self.links))

    def _chance_of(self, until: tuple[float, ...]) -> Fraction:
        rows = [(self.leak, (True,) * len(self.looks))]
        for end, (_, cause, chances) in zip(until, self.links, strict=True):
            rows.append((chances, tuple(end > time and cause not in look.inactive for time, look in self.looks)))
        return self._sum(rows, (0,) * len(self.looks))

    def _sum(self, rows: list[tuple[list[Fraction], tuple[bool, ...]]], shown: tuple[int, ...]) -> Fraction:
        """Sum over every way the contributions can come out; `shown` is the greatest met so far in each look."""
        if any(k > seen for k, seen in zip(shown, self.seen, strict=True)):
            return Fraction(0)
        if not rows:
            return ONE if shown == self.seen else Fraction(0)
        (chances, acts), *others = rows
        if not any(acts):
            return self._sum(others, shown)
        total = Fraction(0)
        for level, chance in enumerate(chances):
            reached = tuple(max(k, level) if counts else k for k, counts in zip(shown, acts, strict=True))
            total += chance * self._sum(others, reached) if chance else 0
        return total


def _exactly(exceed: Sequence[float]) -> list[Fraction]:
    edges = [ONE, *(Fraction(p) for p in exceed), Fraction(0)]
    return [above - beyond for above, beyond in pairwise(edges)]
