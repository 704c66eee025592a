"""Clubs that learn base rates from their sheets: how far what they learn is from the truth.

Run with `python -m tests.benchmarks.learning [--cases CLUBS]`. Each club has engines of one kind, the same model of
causes and findings, shipped rates that are out by a factor (log-normal, sd 1), and 400 sheets. A sheet opens on a
complaint that shows; members then look at other findings, examine or treat the suspects in the order in which the
shipped rates put them, and stop when the complaint is gone. So most causes are never looked at on most sheets, and
those that are were suspected.

Error is the mean over causes of |ln(rate / true rate)|. Four ways, each with the shipped rate worth 20 sheets:
shipped (no learning); confirmed over looked-at; the rule; and the rule told the whole truth of every sheet, which no
club can be, for the least error that this number of sheets allows. Further down the same clubs with shipped rates that
are right, where learning ought to leave them alone: how many times causes were found for each time that the complaints
made likely, which is 1 for a rule without bias.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from math import log
from statistics import mean, stdev
from typing import Any

import numpy as np

from restorations.calc.diagnosis import CausalModel, Inspected, Observed, Remedied, posterior
from restorations.calc.diagnosis.learning import (
    STRENGTH,
    Confirmation,
    SheetEvidence,
    evidence_of_sheet,
    learned_rates,
)
from tests.benchmarks.asked import cases_asked

SEED = 20260502
CLUBS = 20
SHEETS = (30, 100, 400)
RATES, FINDINGS, COMPLAINTS, MOST_STEPS = 16, 12, 5, 12
OUT_BY = 1.0  # sd of the natural logarithm of shipped over true
RIGHT, WRONG, SUCCESS = 0.95, 0.02, 0.9  # of an examination and of a remedy


@dataclass(frozen=True)
class Club:
    """Rates by name; every other cause is there once for each side, at half its rate."""

    shipped: Mapping[str, float]
    true: Mapping[str, float]
    rate_of: Mapping[str, str]
    model: CausalModel


@dataclass
class Sheet:
    """A sheet on the way: what is truly there, what was seen and done, and what was looked at."""

    club: Club
    rng: np.random.Generator
    there_at_start: frozenset[str]
    present: set[str]
    shows: dict[tuple[str, str], int] = field(default_factory=dict)
    events: list[Any] = field(default_factory=list)
    complaint: list[Any] = field(default_factory=list)
    looked_at: set[str] = field(default_factory=set)
    confirmed: dict[str, Confirmation] = field(default_factory=dict)

    def level(self, finding: str) -> int:
        """Level now: each cause shows in a finding with one draw, the same whenever it is looked at."""
        model = self.club.model
        number = model.finding_index[finding]
        rows = {model.causes[c]: row for c, row in zip(model.parents[number], model.strengths[number], strict=True)}
        shown = [self._shown(finding, cause, rows[cause]) for cause in sorted(self.present & rows.keys())]
        return max([self._shown(finding, "", model.leaks[number]), *shown])

    def _shown(self, finding: str, cause: str, strengths: np.ndarray) -> int:
        if (finding, cause) not in self.shows:
            self.shows[finding, cause] = int((self.rng.random() < strengths).sum())
        return self.shows[finding, cause]

    def look(self, finding: str) -> int:
        self.events.append(Observed(finding, self.level(finding)))
        return int(self.events[-1].level)

    def examine(self, cause: str) -> bool:
        found = bool(self.rng.random() < (RIGHT if cause in self.present else WRONG))
        self.looked_at.add(cause)
        self.events.append(Inspected(cause, found, RIGHT, WRONG))
        return found

    def treat(self, cause: str) -> bool:
        """Treat a cause and try again; say whether the complaint is gone."""
        self.looked_at.add(cause)
        self.events.append(Remedied(cause, SUCCESS))
        if self.rng.random() < SUCCESS:
            self.present.discard(cause)
        return self.look(self.complaint[0].finding) == 0


def make_club(seed: int, *, out_by: float = OUT_BY) -> Club:
    """A club with a model of its own; the shipped rates lie between 1 and 20 %."""
    rng = np.random.default_rng([SEED, seed])
    true = {f"cause{n}": float(np.exp(rng.uniform(log(0.01), log(0.2)))) for n in range(RATES)}
    shipped = {name: min(p * float(np.exp(rng.normal(0.0, out_by))), 0.6) for name, p in true.items()}
    places = {name: [f"{name}@left", f"{name}@right"] if n % 2 else [name] for n, name in enumerate(true)}
    rate_of = {place: name for name, at in places.items() for place in at}
    findings = {f"finding{n}": _finding(rng, list(rate_of)) for n in range(FINDINGS)}
    causes = {place: shipped[name] / len(places[name]) for place, name in rate_of.items()}
    return Club(shipped, true, rate_of, CausalModel.from_mapping({"causes": causes, "findings": findings}))


def _finding(rng: np.random.Generator, causes: list[str]) -> dict[str, Any]:
    linked = [cause for cause in causes if rng.random() < 0.3]
    strengths = {cause: float(rng.uniform(0.3, 0.95)) for cause in linked}
    return {"leak": [0.03, 0.01], "links": {cause: [p, p * 0.4] for cause, p in strengths.items()}}


def sheets(club: Club, seed: int) -> Iterator[Sheet]:
    """Closed sheets of the club's engines, as many as are asked for."""
    rng = np.random.default_rng([SEED, seed, 1])
    names = list(club.rate_of)
    each = [list(club.rate_of.values()).count(rate) for rate in club.rate_of.values()]
    rates = np.array([club.true[rate] for rate in club.rate_of.values()]) / each
    while True:
        there = frozenset(names[n] for n in np.flatnonzero(rng.random(len(names)) < rates))
        sheet = Sheet(club, rng, there, set(there))
        if sheet.look(f"finding{rng.integers(COMPLAINTS)}"):
            sheet.complaint = list(sheet.events)
            work(sheet)
            yield sheet


def work(sheet: Sheet) -> None:
    """Look round, examine or treat one suspect after the other, until the complaint is gone or patience is."""
    others = [name for name in sheet.club.model.findings if name != sheet.complaint[0].finding]
    for _ in range(MOST_STEPS):
        if sheet.rng.random() < 0.4:
            sheet.look(str(sheet.rng.choice(others)))
            continue
        suspect = first_suspect(sheet)
        seen = sheet.rng.random() < 0.7
        if seen and not sheet.examine(suspect):
            continue
        if sheet.treat(suspect):
            # One in three of those cured unseen is put down to it without proof: "inferred".
            proved = Confirmation.CURED if sheet.rng.random() < 2 / 3 else Confirmation.INFERRED
            sheet.confirmed[suspect] = Confirmation.SEEN if seen else proved
            return


def first_suspect(sheet: Sheet) -> str:
    now = posterior(sheet.club.model, sheet.events).now
    tried = {event.cause for event in sheet.events if not isinstance(event, Observed)}
    # Rounded, so that two sides that stand level are told apart by their order here on every machine.
    return max((cause for cause in now if cause not in tried), key=lambda cause: round(now[cause], 9))


def evidence(sheet: Sheet) -> SheetEvidence:
    found = evidence_of_sheet(sheet.club.model, sheet.events, sheet.complaint, sheet.confirmed)
    return found.by_rate(sheet.club.rate_of)


def whole_truth(sheet: Sheet, found: SheetEvidence) -> SheetEvidence:
    places = sheet.club.rate_of
    there = {rate: sum(places[one] == rate for one in sheet.there_at_start) for rate in sheet.club.shipped}
    return SheetEvidence(there, found.complaint_alone)


def confirmed_over_looked_at(club: Club, closed: list[Sheet]) -> dict[str, float]:
    """What comes to mind first: of the sheets where a cause was looked at, in how many was it confirmed?"""
    rates = {}
    for name, start in club.shipped.items():
        looked = sum(any(club.rate_of[one] == name for one in sheet.looked_at) for sheet in closed)
        confirmed = sum(any(club.rate_of[one] == name for one in sheet.confirmed) for sheet in closed)
        rates[name] = (STRENGTH * start + confirmed) / (STRENGTH + looked)
    return rates


def error(rates: Mapping[str, float], true: Mapping[str, float]) -> float:
    return mean(abs(log(rates[name] / true[name])) for name in true)


def by_rule(club: Club, found: list[SheetEvidence]) -> dict[str, float]:
    return {name: learned.rate for name, learned in learned_rates(club.shipped, found).items()}


@dataclass(frozen=True)
class Worked:
    """A club's closed sheets and what each says, worked out once."""

    club: Club
    closed: list[Sheet]
    found: list[SheetEvidence]

    def errors(self, first: int) -> dict[str, float]:
        """Error of each way after the first so many sheets."""
        closed, found = self.closed[:first], self.found[:first]
        truth = [whole_truth(sheet, one) for sheet, one in zip(closed, found, strict=True)]
        ways = {
            "shipped": self.club.shipped,
            "confirmed / looked-at": confirmed_over_looked_at(self.club, closed),
            "this rule": by_rule(self.club, found),
            "told the whole truth": by_rule(self.club, truth),
        }
        return {name: error(rates, self.club.true) for name, rates in ways.items()}

    def found_per_expected(self) -> float:
        learned = learned_rates(self.club.shipped, self.found).values()
        return sum(one.found for one in learned) / sum(one.expected_from_complaints for one in learned)


def work_through(seed: int, wanted: int, *, out_by: float = OUT_BY) -> Worked:
    club = make_club(seed, out_by=out_by)
    closed = [sheet for _, sheet in zip(range(wanted), sheets(club, seed), strict=False)]
    return Worked(club, closed, [evidence(sheet) for sheet in closed])


def main(clubs: int) -> None:
    """Print the tables."""
    most = SHEETS[-1]
    worked = [work_through(seed, most) for seed in range(clubs)]
    print(f"{clubs} clubs, {RATES} rates each; mean |ln(rate / true rate)| after so many sheets")
    table = [[one.errors(count) for one in worked] for count in SHEETS]
    print(f"{'':<24}" + "".join(f"{count:>8}" for count in SHEETS))
    for name in table[0][0]:
        print(f"{name:<24}" + "".join(f"{mean(errors[name] for errors in row):8.2f}" for row in table))
    confirmed = mean(len(sheet.confirmed) for one in worked for sheet in one.closed)
    looked = mean(len(sheet.looked_at) for one in worked for sheet in one.closed)
    print(f"looked at on a sheet: {looked:.1f} of {len(worked[0].club.rate_of)} causes; confirmed: {confirmed:.2f}")
    print_bias([work_through(seed, most, out_by=0.0) for seed in range(clubs)])


def print_bias(right: list[Worked]) -> None:
    ratios = [one.found_per_expected() for one in right]
    print(f"\nShipped rates right, {SHEETS[-1]} sheets")
    print(f"found / made likely by complaints: {mean(ratios):.3f} ± {stdev(ratios) / len(ratios) ** 0.5:.3f}")
    after = [one.errors(SHEETS[-1]) for one in right]
    for name in after[0]:
        print(f"{name:<24}{mean(errors[name] for errors in after):8.2f}")


if __name__ == "__main__":
    main(cases_asked(CLUBS))
