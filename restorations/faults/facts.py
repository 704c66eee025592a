"""What stands on the bench: parts off, soaks, papers, and the state a sheet's looks are made in."""

import hashlib
import json
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field, replace
from datetime import date, datetime
from typing import Any

from django.db.models import Max, Q

from restorations.engines.models import Certificate, Engine
from restorations.faults.models import FaultSheet, GoAhead, Step
from restorations.knowledge import EngineFacts, EngineKnowledge
from restorations.tasks.models import Connection, Soak, StrippedPart, Tag
from restorations.tasks.models.parts import ENDINGS, STAYS_OFF
from restorations.tasks.services import ids_not_on

WHEELS = "wheels_stiff"
# The endings of a part's time off after which it, or another in its place, is on the engine.
BACK_ON = frozenset(ENDINGS) - STAYS_OFF
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
    tags: frozenset[str] = frozenset()
    """Kinds of tag that hang on it, a helper's too: a warning never waits."""
    fitted_at: datetime | None = None
    """When a part last went back: what was seen to turn freely before that has to be seen again."""

    @property
    def perhaps_off(self) -> frozenset[str]:
        """Everything that somebody says is off."""
        return self.off | self.off_unaccepted

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

    def after(self, *, taken_off: Iterable[str], refitted: Iterable[str], at: datetime) -> "BenchFacts":
        """The same once these parts have come off and those gone back."""
        back = frozenset(refitted)
        off = (self.off | frozenset(taken_off)) - back
        return replace(self, off=off, fitted_at=at if back & self.perhaps_off else self.fitted_at)


def bench_facts(engine: Engine, *, on: date) -> BenchFacts:
    """Read the rows below; as many queries whatever there is."""
    off, off_unaccepted = ids_not_on(engine)
    soaks = Soak.objects.under_way().filter(engine=engine)
    return BenchFacts(
        off=off,
        off_unaccepted=off_unaccepted,
        soaks=frozenset((soak.place, soak.is_volatile) for soak in soaks),
        steam_allowed=Certificate.objects.filter(engine=engine).allow_steam(on),
        tags=frozenset(Tag.objects.hanging().filter(engine=engine).values_list("kind", flat=True)),
        fitted_at=_last_fitted(engine),
    )


def _last_fitted(engine: Engine) -> datetime | None:
    """Parts that went back and pin joints made up again: what moves may bind since."""
    back = StrippedPart.objects.not_struck().filter(engine=engine, ending__in=BACK_ON).exclude(component="")
    pins = Connection.objects.not_struck().filter(engine=engine, carries="pin_joint")
    moments = (back.aggregate(last=Max("ended_at"))["last"], pins.aggregate(last=Max("joined_at"))["last"])
    return max((moment for moment in moments if moment is not None), default=None)


def parts_off_at(engine: Engine, moment: datetime) -> frozenset[str]:
    """What was not on the engine then: a look that is written down late was made without it."""
    parts = StrippedPart.objects.standing().filter(engine=engine).exclude(component="")
    pipes = Connection.objects.standing().filter(engine=engine, parted_at__lte=moment).exclude(component="")
    apart = pipes.filter(Q(joined_at__isnull=True) | Q(joined_at__gt=moment))
    return frozenset(row.part_id for row in (*parts.off(at=moment), *parts.absent().filter(off_at__lte=moment), *apart))


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

    def prepared(self, facts: Iterable[str], *, refitted: Iterable[str] = ()) -> "SheetState":
        """The same once whoever does the step has set the engine up so; what went back is slack no more."""
        made = set(facts)
        wheels = {fact.removeprefix("wheels_") for fact in made if fact.startswith("wheels_")}
        conditions = self.conditions | ({"wheels": wheels.pop()} if wheels else {})
        return replace(
            self, conditions=conditions, tied_down=self.tied_down or "tied_down" in made,
            air_isolated=self.air_isolated or "air_isolated" in made, slackened=self.slackened - frozenset(refitted),
        )  # fmt: skip

    def plain(self) -> dict[str, Any]:
        return {
            "conditions": self.conditions,
            "slackened": sorted(self.slackened),
            "tied_down": self.tied_down,
            "air_isolated": self.air_isolated,
            "boiler": self.boiler,
        }


def turns_freely(steps: Sequence[Step], bench: BenchFacts, slackened: frozenset[str]) -> bool:
    """Whether the last look at the wheels by hand was "free", with nothing put back or nipped up since then."""
    looks = [step for step in steps if step.finding == WHEELS and step.kind == "observation"]
    if not looks or looks[-1].level != 0:
        return False
    if bench.fitted_at is not None and bench.fitted_at > looks[-1].happened_at:
        return False
    return parted(looks[-1]) <= bench.off | slackened


def parted(look: Step) -> frozenset[str]:
    """What carried nothing when this was seen: parts off, slackened or hung up."""
    return frozenset(look.state.get("off", [])) | frozenset(look.state.get("slackened", []))


def engine_facts(sheet: FaultSheet, bench: BenchFacts, steps: Sequence[Step], *, at: datetime) -> EngineFacts:
    """Everything gates ask about, as it is now; `steps` are the standing ones in order."""
    state = SheetState.of(sheet.state)
    allowed = GoAhead.objects.filter(sheet=sheet).in_force(at)
    consents = sheet.engine.consents.not_struck().exclude(action="")
    return facts_from(
        state, bench, turns=turns_freely(steps, bench, state.slackened),
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
