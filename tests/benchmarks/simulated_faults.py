"""Faults drawn from the knowledge itself, put to the advice and followed to the end.

Run with `python -m tests.benchmarks.simulated_faults [cases] [trace]`. A case is a reference engine, a past, a
complaint and one, two or three faults at work in it, with whatever else the rates bring along; what is seen is drawn
from the same model, once for each cause and finding, so that a look repeated in the same state shows the same again.
Three ways are followed until the complaint is gone, in the same worlds: the advice as a sheet weighs it; the remedy
with most chance per minute, with a test after each; and a fixed list of examinations, commonest cause first. Minutes
carry waiting and risk at their prices. So the table says how good the advice is where the knowledge is right, never
whether it is.

The last tables are of worlds drawn from the rates alone: how often the first suspect is there, by how likely it was
called, as the complaint is told and after some advised steps.
"""

from __future__ import annotations

import os
import sys
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field
from functools import lru_cache
from statistics import mean, median
from typing import Any
from zlib import crc32

import django
import numpy as np

from restorations.calc.diagnosis import (
    FunctionTest,
    HandOver,
    ImpossibleEvidence,
    Inspected,
    Observed,
    Options,
    Remedied,
    TooEntangled,
    advise,
    posterior,
)
from restorations.knowledge import UNLISTED, EngineFacts, EngineKnowledge, Prices, expand, load
from restorations.knowledge.reference_engines import REFERENCE_ENGINES, REFERENCE_PASTS

SEED = 20260401
CASES = 60
MOST_EVENTS = 80
WORLDS = 2000
PRICES = Prices()
COMPLAINTS = (
    "wheels_stiff", "will_not_run", "weak", "knock", "beats_uneven", "blow_at_chimney", "one_direction_only",
    "reverser_stiff", "oil_level_not_falling", "tight_once_a_turn", "gland_leak", "slows_and_stops",
)  # fmt: skip
TURNED = "wheels_stiff"
TURNING = ("turn_wheels_all_on", "turn_flywheel_out_of_gear")


@dataclass(frozen=True)
class Case:
    engine: str
    past: str
    complaint: str
    faults: int
    seed: int


@lru_cache(maxsize=4)
def engine_of(name: str, past: str) -> EngineKnowledge:
    return expand(load(), REFERENCE_ENGINES[name], REFERENCE_PASTS[past])


def drawn(seed: int, words: str) -> float:
    """A number in 0..1, the same for the same seed and words."""
    return float(np.random.default_rng([seed, crc32(words.encode())]).random())


@dataclass
class World:
    """What is truly wrong, and what it shows. The same question is answered the same, whoever asks it when."""

    engine: EngineKnowledge
    present: set[str]
    seed: int
    without_leak: str = ""
    asked: dict[str, int] = field(default_factory=dict)

    def level(self, finding: str, inactive: frozenset[str]) -> int:
        links = self.engine.findings[finding].links
        leak = self.engine.findings[finding].entry.leak if finding != self.without_leak else ()
        shown = [self._shown(finding, cause, links[cause].strengths) for cause in self.at_work(finding, inactive)]
        return max([self._shown(finding, "leak", leak), *shown])

    def at_work(self, finding: str, inactive: frozenset[str] = frozenset()) -> frozenset[str]:
        return (self.present & self.engine.findings[finding].links.keys()) - inactive

    def chance(self, what: str) -> float:
        """A number in 0..1 for this question; asked again in so many words, another one."""
        times = self.asked[what] = self.asked.get(what, 0) + 1
        return drawn(self.seed, f"{what} {times}")

    def _shown(self, finding: str, source: str, strengths: tuple[float, ...]) -> int:
        draw = drawn(self.seed, f"{finding} {source}")
        return sum(draw < strength for strength in strengths)


@dataclass
class Bench:
    """The job under way: how the engine stands, what was seen and done, and what it has cost."""

    world: World
    complaint: str
    facts: EngineFacts
    events: list[Any]
    minutes: float = 0.0
    checks: int = 0
    checks_to_lead: int | None = None
    gone: bool = False
    held_after: int = -1
    log: list[str] = field(default_factory=list)

    @property
    def engine(self) -> EngineKnowledge:
        return self.world.engine

    def options(self) -> Options:
        return self.engine.options(facts=self.facts, complaint=(self.complaint,), prices=PRICES)

    def stand(self, taken: frozenset[str], fitted: frozenset[str], **changes: Any) -> None:
        """Have these parts off and those fitted. What turned freely is only known to while nothing more is fitted."""
        off = (self.facts.off | taken) - fitted
        lit = {"boiler": "in_steam"} if "fire" in fitted else {"boiler": "cold"} if "fire" in taken else {}
        turns = self.facts.turns_freely and self.facts.off <= off
        values = {name: getattr(self.facts, name) for name in EngineFacts.__slots__}
        self.facts = EngineFacts(**{**values, "off": off - {"fire"}, "turns_freely": turns, **lit, **changes})

    def do(self, step: Any, options: Options) -> None:
        """Do a step, answered by the world."""
        self.minutes += cost(step, options)
        if isinstance(step, FunctionTest):
            self._test(options)
        elif step.name in self.engine.checks:
            self._check(step.name)
        else:
            self._cure(step.name)
        self.log.append(f"{self.minutes:7.0f}  {step.name}  {self._last()}")

    def _last(self) -> str:
        last = self.events[-1]
        return str(last.level) if isinstance(last, Observed) else str(getattr(last, "present", ""))

    def _test(self, options: Options) -> None:
        fire = options.off & {"fire"}
        self.stand(frozenset(), self.facts.off | fire)
        inactive = options.test_inactive[self.complaint]
        self._seen(self.complaint, inactive)

    def _seen(self, finding: str, inactive: frozenset[str]) -> None:
        self.checks += 1
        level = self.world.level(finding, inactive)
        self.events.append(Observed(finding, level=level, inactive=inactive))
        if finding == self.complaint and not level:
            self.gone = inactive <= self.engine.inactive(finding)

    def _check(self, name: str) -> None:
        placed = self.engine.checks[name]
        self.stand(placed.needs_off, placed.needs_fitted)
        if placed.entry.answers:
            off, conditions = self.facts.off, dict(placed.entry.conditions)
            inactive = self.engine.inactive(placed.target, off=off, conditions=conditions)
            self._seen(placed.target, inactive)
            if placed.target == TURNED:
                self.stand(frozenset(), frozenset(), turns_freely=self.events[-1].level == 0)
            return
        self.checks += 1
        right = placed.entry.sensitivity if placed.target in self.world.present else placed.entry.false_alarm
        found = self.world.chance(name) < right
        self.events.append(
            Inspected(
                placed.target, present=found, sensitivity=placed.entry.sensitivity,
                false_alarm=placed.entry.false_alarm,
            )
        )  # fmt: skip

    def _cure(self, name: str) -> None:
        placed = self.engine.remedies[name]
        self.stand(placed.needs_off, placed.needs_fitted)
        for cause in sorted(placed.causes):
            if self.world.chance(f"{name} {cause}") < placed.entry.success:
                self.world.present.discard(cause)
            self.events.append(Remedied(cause, success=placed.entry.success))


def cost(step: Any, options: Options) -> float:
    """Minutes of a step with its set-up, waiting and risk at their prices."""
    off, parts = options.off, options.parts
    if isinstance(step, FunctionTest):
        return step.minutes + sum(parts[part].refit_minutes for part in off)
    take, fit = step.needs_off - off, step.needs_fitted & off
    set_up = sum(parts[part].off_minutes for part in take) + sum(parts[part].refit_minutes for part in fit)
    return float(step.minutes + set_up + step.days * PRICES.per_day + step.risk * PRICES.per_risk)


def draw_world(case: Case) -> World:
    """So many faults at work in the complaint, and whatever else the rates bring, with the complaint showing.

    The complaint comes from what is listed, or nothing could end it; and what runs, if badly, turns by hand.
    """
    engine = engine_of(case.engine, case.past)
    finding = complaint_at(engine, case)
    rng = np.random.default_rng(case.seed)
    linked = sorted(engine.findings[finding].links.keys() - {UNLISTED})
    others = sorted(engine.causes.keys() - engine.findings[finding].links.keys())
    odds = np.array([engine.causes[cause].probability for cause in linked])
    odds = odds / (1.0 - odds)
    rates = np.array([engine.causes[cause].probability for cause in others])
    running = case.complaint != "will_not_run" and engine.conditions_of_look(finding)["driven_by"] != "by_hand"
    while True:
        picked = rng.choice(len(linked), case.faults, p=odds / odds.sum())
        extra = np.flatnonzero(rng.random(len(others)) < rates)
        present = {linked[i] for i in picked} | {others[i] for i in extra}
        world = World(engine, present, int(rng.integers(2**31)), finding)
        held = running and world.level(TURNED, engine.inactive(TURNED))
        if len(set(picked.tolist())) == case.faults and not held and world.level(finding, engine.inactive(finding)):
            return world


def complaint_at(engine: EngineKnowledge, case: Case) -> str:
    """The complaint at one of its places."""
    places = sorted(placed.id for placed in engine.findings.values() if placed.entry.id == case.complaint)
    return places[case.seed % len(places)]


def begin(case: Case) -> Bench:
    world = draw_world(case)
    finding = complaint_at(world.engine, case)
    inactive = world.engine.inactive(finding)
    facts = EngineFacts(certificate_in_date=True)
    level = world.level(finding, inactive)
    return Bench(world, finding, facts, [Observed(finding, level=level, inactive=inactive)])


def turning_look(engine: EngineKnowledge) -> str:
    return next(name for name in TURNING if name in engine.checks)


def cures(bench: Bench) -> int:
    return sum(isinstance(event, Remedied) for event in bench.events)


def opened(bench: Bench, action: str) -> str:
    """Open its gates as whoever does it would; "" where it may be done now, the look to make first, or "no".

    Mentor and owner say yes, the boiler is lit or cooled at its price, the engine is set up. What has to be seen to
    turn freely is turned by hand first, once after each remedy.
    """
    gates = bench.engine.gates(action, bench.facts)
    facts = {gate.fact for gate in gates if gate.kind in {"first", "inspector"}}
    if "under_hydraulic_test" in facts:
        return "no"
    if "turns_freely_by_hand" in facts:
        return "no" if bench.held_after == cures(bench) else turning_look(bench.engine)
    wheels = next((fact.removeprefix("wheels_") for fact in facts if fact.startswith("wheels_")), bench.facts.wheels)
    tied, isolated = bench.facts.tied_down or "tied_down" in facts, bench.facts.air_isolated or "air_isolated" in facts
    bench.stand(frozenset(), frozenset(), wheels=wheels, tied_down=tied, air_isolated=isolated)
    return ""


def take(bench: Bench, step: Any, options: Options) -> bool:
    """Do a step if its gates can be opened, or the look that opens them."""
    first = "" if isinstance(step, FunctionTest) else opened(bench, step.name)
    if first == "no":
        return False
    chosen = next(look for look in options.looks if look.name == first) if first else step
    if first:
        opened(bench, first)
    bench.do(chosen, options)
    if first and not bench.facts.turns_freely:
        bench.held_after = cures(bench)
    return True


def chances(bench: Bench) -> Mapping[str, float]:
    return posterior(bench.engine.model, bench.events).now


def note_lead(bench: Bench, now: Mapping[str, float]) -> None:
    """Remember after how many checks something at work in the complaint first led the suspects."""
    seen = [event.finding for event in bench.events if isinstance(event, Observed) and event.level]
    found = {event.cause for event in bench.events if isinstance(event, Inspected) and event.present}
    suspects = (bench.engine.explaining(seen) | found) - {UNLISTED}
    first = max(suspects, key=lambda cause: now[cause])
    if bench.checks_to_lead is None and first in bench.world.at_work(bench.complaint):
        bench.checks_to_lead = bench.checks


def by_advice(bench: Bench) -> bool:
    from restorations.faults.ranking import worth_weighing

    now = chances(bench)
    note_lead(bench, now)
    options = worth_weighing(bench.engine, bench.options(), now)
    for item in advise(bench.engine.model, bench.events, options, samples=WORLDS, seed=SEED):
        if isinstance(item.step, HandOver):
            bench.log.append(f"hand over, {item.minutes_to_finish:.0f} min")
            return False
        if take(bench, item.step, bench.options()):
            return True
    return False


def by_chance_per_minute(bench: Bench) -> bool:
    """The remedy with most chance per minute, a function test after each."""
    options, now = bench.options(), chances(bench)
    note_lead(bench, now)
    if isinstance(bench.events[-1], Remedied):
        bench.do(FunctionTest(options.test_minutes), options)
        return True
    at_work = bench.engine.findings[bench.complaint].links
    worth = {
        remedy: sum(now[cause] for cause in remedy.causes & at_work.keys()) * remedy.success / cost(remedy, options)
        for remedy in options.remedies
    }
    ranked = sorted(worth, key=lambda remedy: (-worth[remedy], remedy.name))
    return next((True for remedy in ranked if worth[remedy] > 1e-6 and take(bench, remedy, options)), False)


def by_fixed_list(bench: Bench) -> bool:
    """Examinations of what the complaint can come from, commonest first; what is found is put right and tried."""
    options = bench.options()
    last = bench.events[-1]
    if isinstance(last, Remedied):
        bench.do(FunctionTest(options.test_minutes), options)
        return True
    if isinstance(last, Inspected) and last.present:
        remedies = [remedy for remedy in options.remedies if last.cause in remedy.causes]
        return any(take(bench, remedy, options) for remedy in sorted(remedies, key=lambda one: -one.success))
    done = {event.cause for event in bench.events if isinstance(event, Inspected)}
    rates = {cause: bench.engine.causes[cause].probability for cause in bench.engine.findings[bench.complaint].links}
    left = [one for one in options.examinations if one.cause in rates and one.cause not in done]
    ranked = sorted(left, key=lambda one: (-rates[one.cause], one.name))
    return any(take(bench, one, options) for one in ranked)


WAYS: dict[str, Callable[[Bench], bool]] = {
    "advice": by_advice,
    "chance per minute, test each": by_chance_per_minute,
    "fixed list of examinations": by_fixed_list,
}


def follow(case: Case, way: Callable[[Bench], bool]) -> Bench:
    """Follow a way to the end; what it cannot end is handed over at its price."""
    bench = begin(case)
    try:
        while not bench.gone and len(bench.events) < MOST_EVENTS and way(bench):
            pass
    except (ImpossibleEvidence, TooEntangled) as error:
        bench.log.append(type(error).__name__)
    if not bench.gone:
        bench.minutes += PRICES.hand_over_minutes
        bench.log.append(f"handed over with {sorted(bench.world.at_work(bench.complaint))}")
    return bench


def cases(wanted: int) -> Iterator[Case]:
    """As many cases, drawn evenly over engines, pasts, complaints an engine can have, and one to three faults."""
    rng = np.random.default_rng(SEED)
    for seed in range(wanted):
        engine, past = str(rng.choice(sorted(REFERENCE_ENGINES))), str(rng.choice(sorted(REFERENCE_PASTS)))
        shown = {placed.entry.id for placed in engine_of(engine, past).findings.values()}
        complaint = str(rng.choice([name for name in COMPLAINTS if name in shown]))
        yield Case(engine, past, complaint, 1 + seed % 3, seed)


def row(name: str, benches: list[Bench]) -> str:
    minutes = [bench.minutes for bench in benches]
    leads = [bench.checks_to_lead for bench in benches if bench.checks_to_lead is not None]
    over = sum(not bench.gone for bench in benches)
    lead = f"{mean(leads):8.1f}{len(leads) / len(benches):8.0%}" if leads else f"{'-':>8}{'-':>8}"
    checks = mean(bench.checks for bench in benches)
    return f"{name:<32}{mean(minutes):9.0f}{median(minutes):9.0f}{checks:9.1f}{over / len(benches):9.0%}{lead}"


def print_ways(wanted: int, *, trace: bool = False) -> None:
    drawn = list(cases(wanted))
    found = {name: [follow(case, way) for case in drawn] for name, way in WAYS.items()}
    heading = f"{'minutes':>9}{'median':>9}{'looks':>9}{'given up':>9}{'to lead':>8}{'ever':>8}"
    for faults in (1, 2, 3):
        print(f"\n{f'{faults} at work in the complaint':<32}{heading}")
        for name, benches in found.items():
            print(row(name, [bench for case, bench in zip(drawn, benches, strict=True) if case.faults == faults]))
    if trace:
        for case, bench in zip(drawn, found["advice"], strict=True):
            print(f"\n{case}\n", "\n".join(bench.log), sep="")


def print_calibration(wanted: int, looks: int) -> None:
    """How often the first suspect is there, in worlds drawn from the rates alone, by how likely it was called."""
    called = [pair for case in cases(wanted) if (pair := first_suspect(case, looks))]
    print(f"\n{f'first suspect after {looks} steps called':<34}{'times':>7}{'mean':>9}{'there':>9}")
    for low, high in ((0.0, 0.1), (0.1, 0.2), (0.2, 0.4), (0.4, 0.6), (0.6, 0.8), (0.8, 1.0)):
        inside = [(p, there) for p, there in called if low <= p < high or p == high == 1.0]
        if inside:
            share, p = mean(there for _, there in inside), mean(p for p, _ in inside)
            print(f"{f'{low:.0%} to {high:.0%}':<34}{len(inside):7}{p:9.0%}{share:9.0%}")


def first_suspect(case: Case, looks: int) -> tuple[float, bool] | None:
    """The first suspect's chance after so many advised steps, and whether it is there; None if all was over before."""
    bench = begin_from_rates(case)
    for _ in range(looks):
        if not by_advice(bench) or bench.gone:
            return None
    now = chances(bench)
    first = max(bench.engine.findings[bench.complaint].links.keys() - {UNLISTED}, key=lambda cause: now[cause])
    return now[first], first in bench.world.present


def begin_from_rates(case: Case) -> Bench:
    """A world drawn from the rates in which the complaint shows, whatever it comes from."""
    engine = engine_of(case.engine, case.past)
    finding = complaint_at(engine, case)
    inactive, rng = engine.inactive(finding), np.random.default_rng(case.seed)
    names = sorted(engine.causes)
    rates = np.array([engine.causes[name].probability for name in names])
    while True:
        present = {names[i] for i in np.flatnonzero(rng.random(len(names)) < rates)}
        world = World(engine, present, int(rng.integers(2**31)))
        if level := world.level(finding, inactive):
            return Bench(world, finding, EngineFacts(certificate_in_date=True), [Observed(finding, level, inactive)])


def main(wanted: int = CASES, *, trace: bool = False) -> None:
    """Print the tables."""
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "clubshop.settings")
    django.setup()
    print(f"{wanted} cases over {len(REFERENCE_ENGINES)} engines and {len(REFERENCE_PASTS)} pasts")
    print_ways(wanted, trace=trace)
    print_calibration(10 * wanted, looks=0)
    print_calibration(wanted, looks=4)


if __name__ == "__main__":
    numbers = [int(argument) for argument in sys.argv[1:] if argument.isdigit()]
    main(*numbers, trace="trace" in sys.argv)
