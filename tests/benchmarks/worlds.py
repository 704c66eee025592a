"""Worlds for simulations: what is truly wrong with a reference engine, and what it shows when it is looked at.

Everything is drawn from the knowledge itself: causes by their rates, and in each finding what every cause (and the
leak) shows, once, so that a look repeated in the same state shows the same again, whoever asks it when.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field, replace
from functools import lru_cache
from typing import Any
from zlib import crc32

import numpy as np

from restorations.calc.diagnosis import Event, Observed
from restorations.knowledge import UNLISTED, EngineKnowledge, Knowledge, expand, load
from restorations.knowledge.reference_engines import REFERENCE_ENGINES, REFERENCE_PASTS

SEED = 20260401
LEAK = "leak"
TURNED = "wheels_stiff"
COMPLAINTS = (
    "wheels_stiff", "will_not_run", "weak", "knock", "beats_uneven", "blow_at_chimney", "one_direction_only",
    "reverser_stiff", "oil_level_not_falling", "tight_once_a_turn", "gland_leak", "slows_and_stops",
    "slow_to_raise_steam", "pressure_falls_standing", "pressure_falls_on_hydraulic", "fire_dull", "no_feed_works",
    "pump_feeds_badly", "injector_knocks_off", "feed_leaks_outside", "steam_at_fittings", "tightens_on_curves",
)  # fmt: skip
AT_ONCE = 500


@dataclass(frozen=True)
class Case:
    """A reference engine with a past, what is complained of, and the seed of all that is drawn."""

    engine: str
    past: str
    complaint: str
    seed: int

    def knowledge(self) -> EngineKnowledge:
        return engine_of(self.engine, self.past)

    def finding(self) -> str:
        """The complaint at one of its places."""
        found = self.knowledge().findings
        places = sorted(placed.id for placed in found.values() if placed.entry.id == self.complaint)
        return places[self.seed % len(places)]

    def is_running(self) -> bool:
        """Whether the complaint is of an engine that runs, if badly: such a one turns by hand."""
        driven = self.knowledge().conditions_of_look(self.finding())["driven_by"]
        return self.complaint != "will_not_run" and driven != "by_hand"


@lru_cache(maxsize=32)
def engine_of(name: str, past: str) -> EngineKnowledge:
    return expand(load(), REFERENCE_ENGINES[name], REFERENCE_PASTS[past])


def cases(wanted: int, *, engine: str = "") -> Iterator[Case]:
    """As many cases, drawn evenly over engines (or of one), pasts, and the complaints an engine can have."""
    rng = np.random.default_rng(SEED)
    for seed in range(wanted):
        name, past = engine or str(rng.choice(sorted(REFERENCE_ENGINES))), str(rng.choice(sorted(REFERENCE_PASTS)))
        shown = {placed.entry.id for placed in engine_of(name, past).findings.values()}
        yield Case(name, past, str(rng.choice([one for one in COMPLAINTS if one in shown])), seed)


@dataclass
class World:
    """What is truly wrong, and what it shows; `without_leak` is a finding that only what is listed can show in."""

    engine: EngineKnowledge
    present: set[str]
    seed: int
    without_leak: str = ""
    _shown: dict[str, dict[str, int]] = field(default_factory=dict)
    _asked: dict[str, int] = field(default_factory=dict)

    def level(self, finding: str, inactive: frozenset[str] = frozenset()) -> int:
        shown = self._shown_by(finding)
        return max(shown[row] for row in (LEAK, *(self.present & shown.keys() - inactive)))

    def at_work(self, finding: str, inactive: frozenset[str] = frozenset()) -> frozenset[str]:
        """The causes that show in this finding."""
        shown = self._shown_by(finding)
        return frozenset(cause for cause in self.present & shown.keys() - inactive if shown[cause])

    def happens(self, what: str, chance: float) -> bool:
        """Whether it does, this time: asked again in so many words, it is drawn again."""
        times = self._asked[what] = self._asked.get(what, 0) + 1
        return bool(np.random.default_rng([self.seed, crc32(what.encode()), times]).random() < chance)

    def _shown_by(self, finding: str) -> dict[str, int]:
        """The level that each cause, were it there, and the leak show in a finding."""
        if finding not in self._shown:
            placed = self.engine.findings[finding]
            rows = {LEAK: placed.entry.leak, **{cause: link.strengths for cause, link in placed.links.items()}}
            draws = np.random.default_rng([self.seed, crc32(finding.encode())]).random(len(rows))
            levels = {row: int((draw < np.array(rows[row])).sum()) for row, draw in zip(rows, draws, strict=True)}
            self._shown[finding] = {**levels, LEAK: 0} if finding == self.without_leak else levels
        return self._shown[finding]


@dataclass(frozen=True)
class Start:
    """A world, the complaint's finding, and what was seen before anybody looked further."""

    world: World
    finding: str
    events: tuple[Event, ...]


def from_rates(case: Case) -> Start:
    """A world drawn from the rates alone in which the complaint, chosen beforehand, shows, whatever it comes from.

    An engine that runs is seen to turn freely, so nothing is known of the world but what is written down.
    """
    engine, finding, rng = case.knowledge(), case.finding(), np.random.default_rng([SEED, case.seed])
    names, rates = np.array(engine.model.causes), engine.model.prior
    while True:
        for present in rng.random((AT_ONCE, len(names))) < rates:
            world = World(engine, set(names[present].tolist()), int(rng.integers(2**31)))
            if _shows(world, case, finding):
                return Start(world, finding, _told(world, case, finding))


def with_faults(case: Case, faults: int, *, sided: bool = False) -> Start | None:
    """A world with so many faults at work in the complaint, by their odds, and whatever else the rates bring along.

    The complaint comes from these alone, not from the leak or the unlisted, or nothing could end it. `sided`: each of
    them has a sound twin on the other side; none where the engine has no such causes.
    """
    engine, finding, rng = case.knowledge(), case.finding(), np.random.default_rng([SEED, case.seed, faults])
    linked = sorted(engine.findings[finding].links.keys() - {UNLISTED})
    could = [cause for cause in linked if not sided or other_side(engine, cause)]
    if len(could) < 4 * faults:
        return None
    odds = np.array([engine.causes[cause].probability for cause in could])
    odds = odds / (1.0 - odds)
    others = np.array(sorted(engine.causes.keys() - set(linked) - {UNLISTED}))
    rates = np.array([engine.causes[cause].probability for cause in others])
    while True:
        picked = {could[i] for i in rng.choice(len(could), faults, p=odds / odds.sum())}
        extra = set(others[rng.random(len(others)) < rates].tolist())
        world = World(engine, picked | extra, int(rng.integers(2**31)), finding)
        if sided and any(other_side(engine, cause) in picked for cause in picked):
            continue
        if len(picked) == faults and world.at_work(finding) == picked and _shows(world, case, finding):
            return Start(world, finding, _told(world, case, finding))


def other_side(engine: EngineKnowledge, cause: str) -> str:
    """The same cause on the other side, or none."""
    place = engine.causes[cause].place
    twin = {"left": "right", "right": "left"}.get(place.side, "")
    other = f"{engine.causes[cause].entry.id}@{replace(place, side=twin)}" if twin else ""
    return other if other in engine.causes else ""


def _shows(world: World, case: Case, finding: str) -> bool:
    if not world.level(finding, world.engine.inactive(finding)):
        return False
    return not case.is_running() or not world.level(TURNED, world.engine.inactive(TURNED))


def _told(world: World, case: Case, finding: str) -> tuple[Event, ...]:
    looked = [TURNED, finding] if case.is_running() else [finding]
    silent = {one: world.engine.inactive(one) for one in looked}
    return tuple(Observed(one, world.level(one, silent[one]), silent[one]) for one in looked)


def noisy(knowledge: Knowledge, sd: float, seed: int) -> Knowledge:
    """The knowledge with normal noise of this standard deviation on the log-odds of every number in it."""
    rng = np.random.default_rng([SEED, seed])

    def moved(chances: Sequence[float]) -> tuple[float, ...]:
        logits = np.log(chances) - np.log1p(-np.asarray(chances)) + rng.normal(0.0, sd, len(chances))
        return tuple(sorted((1.0 / (1.0 + np.exp(-logits))).tolist(), reverse=True))

    def one(chance: float | None) -> Any:
        return chance if chance is None else moved([chance])[0]

    return replace(
        knowledge,
        causes={
            key: replace(cause, rate={name: one(rate) for name, rate in cause.rate.items()})
            for key, cause in knowledge.causes.items()
        },
        findings={
            key: replace(
                finding,
                leak=moved(finding.leak),
                links=tuple(replace(link, strengths=moved(link.strengths)) for link in finding.links),
            )
            for key, finding in knowledge.findings.items()
        },
        checks={
            key: replace(check, sensitivity=one(check.sensitivity), false_alarm=one(check.false_alarm))
            if check.examines
            else check
            for key, check in knowledge.checks.items()
        },
        remedies={key: replace(remedy, success=one(remedy.success)) for key, remedy in knowledge.remedies.items()},
        checksum=f"{knowledge.checksum} with noise {sd} {seed}",
    )
