"""Ways to follow a fault to its end on a simulated engine, and what each of them costs."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from restorations.calc.diagnosis import (
    FunctionTest,
    HandOver,
    ImpossibleEvidence,
    Inspected,
    Remedied,
    TooEntangled,
    posterior,
)
from restorations.knowledge import UNLISTED, EngineKnowledge
from restorations.knowledge.ahead import look_ahead
from tests.benchmarks.bench import PRICES, Bench
from tests.benchmarks.worlds import SEED, Start, other_side

MOST_EVENTS = 120
WORLDS = 2000
Way = Callable[[Bench], bool]


def by_advice(bench: Bench) -> bool:
    """The first advice of the sheet whose gates can be opened."""
    known = posterior(bench.solver.model, bench.events)
    ahead = look_ahead(bench.solver, known, bench.facts, (bench.complaint,), PRICES, samples=WORLDS, n=1, seed=SEED)
    for item in ahead.advice:
        if isinstance(item.step, HandOver):
            bench.log.append(f"hand over, {item.minutes_to_finish:.0f} min")
            return False
        if bench.test() if isinstance(item.step, FunctionTest) else bench.do(item.step.name):
            return True
    return False


def by_chance_per_minute(bench: Bench) -> bool:
    """The remedy with most chance per minute, a function test after each."""
    if isinstance(bench.events[-1], Remedied):
        return bench.test()
    now = posterior(bench.solver.model, bench.events).now
    linked = bench.solver.findings[bench.complaint].links.keys()
    worth = {
        name: sum(now[cause] for cause in remedy.causes & linked) * remedy.entry.success / bench.cost(name)
        for name, remedy in bench.solver.remedies.items()
        if remedy.causes & linked
    }
    ranked = sorted(worth, key=lambda name: (-worth[name], name))
    return any(worth[name] > 1e-6 and bench.do(name) for name in ranked)


def by_fixed_list(bench: Bench) -> bool:
    """Examinations of what the complaint can come from, commonest first; what is found is put right and tried."""
    last, solver = bench.events[-1], bench.solver
    if isinstance(last, Remedied):
        return bench.test()
    if isinstance(last, Inspected) and last.present:
        cures = [remedy for remedy in solver.remedies.values() if last.cause in remedy.causes]
        return any(bench.do(remedy.id) for remedy in sorted(cures, key=lambda one: -one.entry.success))
    done = {event.cause for event in bench.events if isinstance(event, Inspected)}
    rates = {cause: solver.causes[cause].probability for cause in solver.findings[bench.complaint].links}
    left = [one for one in solver.checks.values() if one.entry.examines and one.target in rates.keys() - done]
    return any(bench.do(one.id) for one in sorted(left, key=lambda one: (-rates[one.target], one.id)))


def by_clairvoyance(bench: Bench) -> bool:
    """Knows what is wrong and whether a remedy took: remedies of what is at work, best first, then one test."""
    wrong = bench.at_work - {UNLISTED}
    if not wrong:
        return isinstance(bench.events[-1], Remedied) and bench.test()
    cures = [one for one in bench.solver.remedies.values() if one.causes & wrong]
    return any(
        bench.do(one.id) for one in sorted(cures, key=lambda one: (bench.cost(one.id) / one.entry.success, one.id))
    )


WAYS: dict[str, Way] = {
    "advice": by_advice,
    "chance per minute, test each": by_chance_per_minute,
    "fixed list of examinations": by_fixed_list,
    "clairvoyant": by_clairvoyance,
}


@dataclass(frozen=True)
class Followed:
    """How a job went: minutes with waiting and risk at their prices, and what was left where it was given up."""

    minutes: float
    checks: int
    cures: int
    wrong_side: int
    gone: bool
    left: tuple[str, ...]
    log: tuple[str, ...]


def follow(way: Way, start: Start, solver: EngineKnowledge | None = None) -> Followed:
    """Follow a way to the end; what it cannot end is handed over at its price."""
    bench = Bench.at(start, solver)
    at_first = frozenset(bench.world.present)
    try:
        while not bench.gone and len(bench.events) < MOST_EVENTS and way(bench):
            pass
    except (ImpossibleEvidence, TooEntangled) as error:
        bench.log.append(type(error).__name__)
    sound = [event.cause for event in bench.events if isinstance(event, Remedied) and event.cause not in at_first]
    return Followed(
        minutes=bench.minutes + (0.0 if bench.gone else PRICES.hand_over_minutes),
        checks=bench.checks,
        cures=bench.cures,
        wrong_side=sum(other_side(bench.world.engine, cause) in at_first for cause in sound),
        gone=bench.gone,
        left=() if bench.gone else tuple(sorted(bench.at_work)),
        log=tuple(bench.log),
    )
