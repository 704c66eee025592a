"""A job followed on a simulated engine: steps are done at their cost, gates opened, and the world answers."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from typing import Any

from restorations.calc.diagnosis import Inspected, Observed, Options, Remedied
from restorations.knowledge import EngineFacts, EngineKnowledge, Prices
from tests.benchmarks.worlds import TURNED, Start, World

PRICES = Prices()
TURNING = ("turn_wheels_all_on", "turn_flywheel_out_of_gear")


@dataclass
class Bench:
    """The job under way. `solver` is what is believed of the engine, the world what is true of it."""

    world: World
    solver: EngineKnowledge
    complaint: str
    facts: EngineFacts
    events: list[Any]
    minutes: float = 0.0
    checks: int = 0
    gone: bool = False
    held_after: int = -1
    log: list[str] = field(default_factory=list)

    @classmethod
    def at(cls, start: Start, solver: EngineKnowledge | None = None) -> Bench:
        facts = EngineFacts(certificate_in_date=True)
        return cls(start.world, solver or start.world.engine, start.finding, facts, list(start.events))

    def options(self, bearing_on: frozenset[str] | None = None) -> Options:
        return self.solver.options(facts=self.facts, complaint=(self.complaint,), prices=PRICES, bearing_on=bearing_on)

    @property
    def at_work(self) -> frozenset[str]:
        return self.world.at_work(self.complaint, self.world.engine.inactive(self.complaint))

    @property
    def cures(self) -> int:
        return sum(isinstance(event, Remedied) for event in self.events)

    def do(self, name: str) -> bool:
        """Do a check or remedy if its gates can be opened, or the look that opens them; the world answers."""
        first = self._opened(name)
        if first == "no":
            return False
        self.work(first or name)
        if first and not self.facts.turns_freely:
            self.held_after = self.cures
        return True

    def test(self) -> bool:
        """Everything fitted, and the complaint looked at again."""
        self.work("")
        return True

    def cost(self, name: str) -> float:
        """Minutes of a step, or of the function test, with its set-up, waiting and risk at their prices."""
        options = self.options(frozenset())
        off, parts = options.off, options.parts
        if not name:
            return float(PRICES.test_minutes + sum(parts[part].refit_minutes for part in off))
        placed = self.solver.checks.get(name) or self.solver.remedies[name]
        take, fit = (placed.needs_off & parts.keys()) - off, placed.needs_fitted & off
        set_up = sum(parts[part].off_minutes for part in take) + sum(parts[part].refit_minutes for part in fit)
        entry = placed.entry
        return float(entry.minutes + set_up + entry.waiting_days * PRICES.per_day + entry.risk * PRICES.per_risk)

    def work(self, name: str) -> None:
        """Do it, whatever its gates say."""
        self.minutes += self.cost(name)
        if not name:
            self._test()
        elif name in self.solver.checks:
            self._check(name)
        else:
            self._cure(name)
        last = self.events[-1]
        shown = last.level if isinstance(last, Observed) else getattr(last, "present", "")
        self.log.append(f"{self.minutes:7.0f}  {name or 'function test'}  {shown}")

    def _opened(self, action: str) -> str:
        """Open its gates as whoever does it would; "" where it may be done now, the look to make first, or "no".

        Mentor and owner say yes, the boiler is lit or cooled at its price, the engine is set up. What has to be seen to
        turn freely is turned by hand first, once after each remedy.
        """
        gates = self.solver.gates(action, self.facts)
        facts = {gate.fact for gate in gates if gate.kind in {"first", "inspector"}}
        if "under_hydraulic_test" in facts:
            return "no"
        if "turns_freely_by_hand" in facts and action not in TURNING:
            if self.held_after == self.cures:
                return "no"
            return next(name for name in TURNING if name in self.solver.checks)
        self._set_up(facts)
        return ""

    def _set_up(self, facts: set[str]) -> None:
        wheels = next((fact.removeprefix("wheels_") for fact in facts if fact.startswith("wheels_")), self.facts.wheels)
        self._stand(
            wheels=wheels,
            tied_down=self.facts.tied_down or "tied_down" in facts,
            air_isolated=self.facts.air_isolated or "air_isolated" in facts,
        )

    def _stand(self, taken: frozenset[str] = frozenset(), fitted: frozenset[str] = frozenset(), **changes: Any) -> None:
        """Have these parts off and those fitted. What turned freely is only known to while nothing more is fitted."""
        off = (self.facts.off | taken) - fitted
        lit = {"boiler": "in_steam"} if "fire" in fitted else {"boiler": "cold"} if "fire" in taken else {}
        turns = self.facts.turns_freely and self.facts.off <= off
        self.facts = replace(self.facts, off=off - {"fire"}, **{"turns_freely": turns, **lit, **changes})

    def _test(self) -> None:
        options = self.options(frozenset())
        self._stand(fitted=self.facts.off | (options.off & {"fire"}))
        self._seen(self.complaint, options.test_inactive[self.complaint])

    def _seen(self, finding: str, inactive: frozenset[str]) -> None:
        self.checks += 1
        level = self.world.level(finding, inactive)
        self.events.append(Observed(finding, level=level, inactive=inactive))
        if finding == self.complaint and not level:
            self.gone = inactive <= self.solver.inactive(finding)

    def _check(self, name: str) -> None:
        placed = self.solver.checks[name]
        self._stand(placed.needs_off, placed.needs_fitted)
        if placed.entry.answers:
            conditions = dict(placed.entry.conditions)
            self._seen(placed.target, self.solver.inactive(placed.target, off=self.facts.off, conditions=conditions))
            if placed.target == TURNED:
                self._stand(turns_freely=self.events[-1].level == 0)
            return
        self.checks += 1
        true = self.world.engine.checks[name].entry
        found = self.world.happens(name, true.sensitivity if placed.target in self.world.present else true.false_alarm)
        self.events.append(
            Inspected(
                placed.target, present=found, sensitivity=placed.entry.sensitivity,
                false_alarm=placed.entry.false_alarm,
            )
        )  # fmt: skip

    def _cure(self, name: str) -> None:
        placed = self.solver.remedies[name]
        self._stand(placed.needs_off, placed.needs_fitted)
        true = self.world.engine.remedies[name].entry.success
        for cause in sorted(placed.causes):
            if self.world.happens(f"{name} {cause}", true):
                self.world.present.discard(cause)
            self.events.append(Remedied(cause, success=placed.entry.success))
