"""What stands on the bench: parts off, soaks, papers, and the state a sheet's looks are made in."""

import hashlib
import json
from collections.abc import Iterable
from dataclasses import dataclass, field, replace
from datetime import date, datetime
from typing import Any

from restorations.engines.models import Certificate, Engine
from restorations.faults.models import FaultSheet, GoAhead, Step
from restorations.knowledge import EngineFacts, EngineKnowledge
from restorations.tasks.models import Soak
from restorations.tasks.services import ids_not_on

WHEELS = "wheels_stiff"
# The knowledge prices raising steam and cooling down as fitting and taking off the fire.
NO_FIRE = frozenset({"fire"})


@dataclass(frozen=True, slots=True)
class BenchFacts:
    """What the apps below say of an engine, as far as the ranking rests on it."""

    off: frozenset[str] = frozenset()
    """Standing rows: evidence is read with these parts off."""
    off_unaccepted: frozenset[str] = frozenset()
    """A helper's rows: they do not count yet, but no step may rely on the part being there."""
    soaks: frozenset[tuple[str, bool]] = frozenset()
    """Where something soaks, and whether in something volatile."""
    steam_allowed: bool = False

    @property
    def soaking(self) -> frozenset[str]:
        return frozenset(place for place, _ in self.soaks)

    @property
    def volatile_solvent(self) -> bool:
        return any(volatile for _, volatile in self.soaks)

    @property
    def checksum(self) -> str:
        """Known again by any process: a ranking made on other facts says so."""
        plain = {
            "off": sorted(self.off),
            "soaks": sorted(self.soaks),
            "steam": self.steam_allowed,
        }
        return hashlib.sha256(json.dumps(plain, sort_keys=True).encode()).hexdigest()

    def after(self, *, taken_off: Iterable[str], refitted: Iterable[str]) -> "BenchFacts":
        """The same once these parts have come off and those gone back."""
        return replace(self, off=(self.off | frozenset(taken_off)) - frozenset(refitted))


def bench_facts(engine: Engine, *, on: date) -> BenchFacts:
    """Read the rows below; as many queries whatever there is."""
    off, off_unaccepted = ids_not_on(engine)
    soaks = Soak.objects.under_way().filter(engine=engine)
    return BenchFacts(
        off=off,
        off_unaccepted=off_unaccepted,
        soaks=frozenset((soak.place, soak.is_volatile) for soak in soaks),
        steam_allowed=Certificate.objects.filter(engine=engine).allow_steam(on),
    )


@dataclass(frozen=True, slots=True)
class SheetState:
    """The state looks are made in: asked once and carried on."""

    conditions: dict[str, str] = field(default_factory=dict)
    slackened: frozenset[str] = frozenset()
    tied_down: bool = False
    air_isolated: bool = False
    boiler: str = "cold"

    @classmethod
    def of(cls, plain: dict[str, Any]) -> "SheetState":
        return cls(
            conditions=dict(plain.get("conditions", {})),
            slackened=frozenset(plain.get("slackened", [])),
            tied_down=bool(plain.get("tied_down", False)),
            air_isolated=bool(plain.get("air_isolated", False)),
            boiler=plain.get("boiler", "cold"),
        )

    def prepared(self, facts: Iterable[str]) -> "SheetState":
        """The same once whoever does the step has set the engine up so."""
        made = set(facts)
        wheels = {fact.removeprefix("wheels_") for fact in made if fact.startswith("wheels_")}
        conditions = self.conditions | ({"wheels": wheels.pop()} if wheels else {})
        return replace(
            self, conditions=conditions, tied_down=self.tied_down or "tied_down" in made,
            air_isolated=self.air_isolated or "air_isolated" in made,
        )  # fmt: skip

    def plain(self) -> dict[str, Any]:
        return {
            "conditions": self.conditions,
            "slackened": sorted(self.slackened),
            "tied_down": self.tied_down,
            "air_isolated": self.air_isolated,
            "boiler": self.boiler,
        }


def turns_freely(steps: list[Step], off: frozenset[str]) -> bool:
    """Whether the last look at the wheels by hand was "free", with nothing fitted since that was off then."""
    looks = [step for step in steps if step.finding == WHEELS and step.kind == "observation"]
    return bool(looks) and looks[-1].level == 0 and frozenset(looks[-1].state.get("off", [])) <= off


def engine_facts(sheet: FaultSheet, bench: BenchFacts, steps: list[Step], *, at: datetime) -> EngineFacts:
    """Everything gates ask about, as it is now; `steps` are the standing ones in order."""
    state = SheetState.of(sheet.state)
    allowed = GoAhead.objects.filter(sheet=sheet).in_force(at)
    consents = sheet.engine.consents.not_struck().exclude(action="")
    return facts_from(
        state, bench, turns=turns_freely(steps, bench.off),
        go_aheads=frozenset(allowed.values_list("action", flat=True)),
        consents=frozenset(consents.values_list("action", flat=True)),
    )  # fmt: skip


def facts_from(
    state: SheetState, bench: BenchFacts, *, turns: bool, go_aheads: frozenset[str], consents: frozenset[str]
) -> EngineFacts:
    return EngineFacts(
        off=bench.off | state.slackened | (frozenset() if state.boiler == "in_steam" else NO_FIRE),
        conditions=state.conditions,
        turns_freely=turns,
        volatile_solvent=bench.volatile_solvent,
        soaking=bench.soaking,
        certificate_in_date=bench.steam_allowed,
        boiler=state.boiler,
        wheels=state.conditions.get("wheels", "on_rail"),
        tied_down=state.tied_down,
        air_isolated=state.air_isolated,
        go_aheads=go_aheads,
        consents=consents,
    )


def first_state(expanded: EngineKnowledge) -> SheetState:
    """Every condition as it is assumed when nobody says."""
    return SheetState(conditions={name: condition.assumed for name, condition in expanded.conditions.items()})
